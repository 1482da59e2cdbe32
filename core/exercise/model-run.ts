import { withoutCount, type BoardProfile } from '../board/index.ts'
import { run, type RunResult } from '../run/index.ts'
import type { Exercise } from './exercise.ts'
import { exerciseFor } from './exercise-for.ts'
import { modelProgram } from './model.ts'
import { runRequestFor } from './request.ts'
import type { StartNumber } from './start-values.ts'

/** Model answers' runs kept for the next hand-in of the same exercise: 64 KB each and more. */
const mostKept = 128
const kept = new WeakMap<Exercise, { readonly profile: BoardProfile; readonly results: Map<string, RunResult> }>()

/**
 * The model answer's run of a case, followed (`undefinedUse`); null where there is none. What is kept changes no report: a
 * run is a pure function.
 */
export function modelRun(
  of: Exercise,
  profile: BoardProfile,
  caseId: string,
  seed: number,
  start?: StartNumber,
): RunResult | null {
  const exercise = exerciseFor(of, seed)
  const answer = modelProgram(exercise, profile)
  if (answer === null) return null
  let shelf = kept.get(exercise)
  if (shelf?.profile !== profile) {
    shelf = { profile, results: new Map() }
    kept.set(exercise, shelf)
  }
  const key = `${caseId} ${start ?? ''}`
  const before = shelf.results.get(key)
  if (before !== undefined) return before
  const request = runRequestFor(exercise, profile, answer, caseId, seed, start)
  const result = withoutCount(() => run(request, { isFollowingUndefined: true }))
  const [oldest] = shelf.results.keys()
  if (shelf.results.size >= mostKept && oldest !== undefined) shelf.results.delete(oldest)
  shelf.results.set(key, result)
  return result
}
