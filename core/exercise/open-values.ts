import type { BoardProfile } from '../board/index.ts'
import type { RunResult } from '../run/index.ts'
import type { WantedValue } from './checks/check.ts'
import type { Exercise } from './exercise.ts'
import { prepareCheck } from './parse.ts'

/**
 * Where the checks of a case take more than one value for right, and which: there a right run and the model answer's may
 * differ. `caseId` is that of the document. What a check looks at during the run may hold anything when it ends.
 */
export function openValues(
  exercise: Exercise,
  profile: BoardProfile,
  caseId: string,
  model: () => RunResult | null,
): readonly WantedValue[] {
  return exercise.checks.flatMap((check) => {
    if (check.cases !== null && !check.cases.includes(caseId)) return []
    const prepared = prepareCheck(exercise, check, caseId)
    if (prepared === undefined || prepared.open.length === 0) return []
    if (check.when === null) return prepared.wants(profile, model).filter(({ isOne }) => !isOne)
    return prepared.open.map((place): WantedValue => ({ place, isOne: false, isRight: () => true }))
  })
}
