import { readProgram } from '../../core/assembler/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import { counterexample, hintOf, nearestPassing, type Repair as CoreRepair } from '../../core/diagnosis/index.ts'
import { readOptionsFor, type Exercise, type ProgramText } from '../../core/exercise/index.ts'
import type { Cause, Counterexample, Repair, Report } from '../contract/index.ts'

/** What a search found, whole, as it is stored; who may see what of it is decided when it is asked for. */
export interface FoundDiagnosis {
  readonly causes: readonly Cause[]
  readonly hint: string | null
  readonly repair: Repair | null
  readonly counterexample: Counterexample | null
}

export interface SearchOptions {
  readonly seed: number
  /** Asked often; false ends the search with what was found so far. */
  readonly mayGoOn: () => boolean
}

/** Why a graded hand-in fails. Without `mayGoOn` saying no it is a pure function of the rest. */
export function findDiagnosis(
  source: ProgramText,
  exercise: Exercise,
  profile: BoardProfile,
  report: Report,
  { seed, mayGoOn }: SearchOptions,
): FoundDiagnosis {
  if (report.status !== 'graded' || report.isFullMarks)
    return { causes: [], hint: null, repair: null, counterexample: null }
  const program = readProgram(source, readOptionsFor(exercise, profile))
  const nearest = nearestPassing(program, exercise, profile, { seed, onProgress: mayGoOn })
  const repair = nearest.outcome === 'found' ? nearest.repair : null
  return {
    causes: [],
    hint: repair === null || !program.isOk ? null : hintOf(repair, program.image),
    repair: repair === null ? null : withoutImage(repair),
    counterexample: smallest(counterexample(program, exercise, profile, { seed, onProgress: mayGoOn })),
  }
}

function withoutImage({ kind, at, line, found, wouldBe, instruction }: CoreRepair): Repair {
  return { kind, at, line, found: [...found], wouldBe: [...wouldBe], instruction: { ...instruction } }
}

function smallest(found: ReturnType<typeof counterexample>): Counterexample | null {
  if (found === null) return null
  const { caseId, title, isVisible, seed, inputs, isSmallest, check } = found
  return { caseId, title, isVisible, seed, inputs: [...inputs], isSmallest, check: { ...check } }
}
