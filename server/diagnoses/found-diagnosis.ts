import { readProgram } from '../../core/assembler/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import {
  diagnose,
  hintOf,
  type Counterexample as CoreCounterexample,
  type DiagnosedRepair,
} from '../../core/diagnosis/index.ts'
import { readOptionsFor, type Exercise, type ProgramText } from '../../core/exercise/index.ts'
import type { Cause, Counterexample, Repair, Report, WhyQuestion } from '../contract/index.ts'
import { whyQuestions } from './why-questions.ts'

/** What a search found, whole, as it is stored; who may see what of it is decided when it is asked for. */
export interface FoundDiagnosis {
  readonly causes: readonly Cause[]
  readonly hint: string | null
  readonly repair: Repair | null
  readonly counterexample: Counterexample | null
  /** Missing in what was stored before there were questions. */
  readonly questions?: readonly WhyQuestion[]
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
  const program = readProgram(source, readOptionsFor(exercise, profile))
  const questions = whyQuestions(program, exercise, profile, report, { seed, mayGoOn })
  const { causes, repair, counterexample } = diagnose(program, exercise, profile, report, { seed, onProgress: mayGoOn })
  return {
    causes: causes.map((cause) => ({ ...cause, checkIds: [...cause.checkIds] })),
    hint: repair === null || !program.isOk ? null : hintOf(repair, program.image),
    repair: repair === null ? null : withoutImage(repair),
    counterexample: counterexample === null ? null : withoutCase(counterexample),
    questions,
  }
}

function withoutImage({ kind, at, line, found, wouldBe, instruction }: DiagnosedRepair): Repair {
  return { kind, at, line, found: [...found], wouldBe: [...wouldBe], instruction: { ...instruction } }
}

function withoutCase(found: CoreCounterexample): Counterexample {
  const { caseId, title, isVisible, seed, inputs, isSmallest, check } = found
  return { caseId, title, isVisible, seed, inputs: [...inputs], isSmallest, check: { ...check } }
}
