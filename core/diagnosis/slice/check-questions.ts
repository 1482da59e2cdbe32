import type { Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
import {
  caseInstances,
  checkFields,
  exerciseFor,
  modelProgram,
  runRequestFor,
  type Exercise,
} from '../../exercise/index.ts'
import type { CheckResult } from '../../grading/index.ts'
import { record, run, type Recording, type RunRequest } from '../../run/index.ts'
import { anything, theEnd, type Asked } from './questions/asked.ts'
import { answerFor } from './questions/answers.ts'
import { whyValue } from './why-value.ts'
import { whyNever } from './why-never.ts'
import type { Why, WhyNever, WhyTarget } from './why.ts'

/** A question that a failing check raises about one run: to be put to `whyValue`, or to `whyNever`. */
export type CheckQuestion =
  | { readonly caseId: string; readonly step: number; readonly target: WhyTarget }
  | { readonly caseId: string; readonly never: Addr }

/** What a check was decided on. */
export interface CheckContext {
  readonly exercise: Exercise
  readonly profile: BoardProfile
  readonly program: Program
  readonly seed: number
  /** Runs recorded for other checks of the hand-in, by case and start; what is recorded for this one is added. */
  readonly recordings?: Map<string, Recording>
}

/** A question with its answer and the run it is about. */
export interface CheckAnswer {
  readonly question: CheckQuestion
  readonly why: Why | WhyNever
  readonly recording: Recording
  readonly request: RunRequest
}

/**
 * What to ask about a check that failed, the most telling question first: the byte, register or flag that is wrong, the
 * port write that was seen, where the time went, or why the run ended as it did. None for a check that looks at the
 * program alone (size, bytes handed in): there the check itself names the place.
 */
export function whyCheck(check: CheckResult, context: CheckContext): readonly CheckQuestion[] {
  return questionsOf(check, context)?.questions ?? []
}

/** The questions of a failing check with their answers: whichever was asked for, by its place. Null where there is none. */
export function whyFailed(check: CheckResult, context: CheckContext, which = 0): CheckAnswer | null {
  const found = questionsOf(check, context)
  const question = found?.questions[which]
  if (found === null || question === undefined) return null
  const { recording, request } = found
  const why =
    'never' in question
      ? whyNever(recording, request, question.never)
      : whyValue(recording, request, question.target, question.step)
  return { question, why, recording, request }
}

function questionsOf(
  check: CheckResult,
  { exercise, profile, program, seed, recordings }: CheckContext,
): {
  readonly questions: readonly CheckQuestion[]
  readonly recording: Recording
  readonly request: RunRequest
} | null {
  const given = exerciseFor(exercise, seed)
  const { decidedAt } = check
  const written = given.checks.find(({ id }) => id === check.id)
  const instance = caseInstances(given).find(({ id }) => id === decidedAt?.caseId)
  if (decidedAt === null || written === undefined || instance === undefined) return null
  const fields = checkFields(given, written, instance.of.id)
  if (fields === null || check.outcome === 'passed') return null
  const { caseId, start } = decidedAt
  const request = runRequestFor(given, profile, program, caseId, seed, start)
  const key = `${caseId} ${start}`
  const recording = recordings?.get(key) ?? record(request)
  recordings?.set(key, recording)
  const answer = modelProgram(given, profile)
  const asked: Asked = {
    fields,
    recording,
    request,
    profile,
    program,
    model: () => (answer === null ? null : run(runRequestFor(given, profile, answer, caseId, seed, start))),
    outcome: check.outcome,
    step: Math.min(recording.result.steps, decidedAt.step + 1),
    at: decidedAt.address,
  }
  const { kind } = recording.result.end
  const isUnfinished = kind !== 'halted' && kind !== 'returned'
  // A check that looks at a moment of the run is asked about the instruction that decided it.
  const own = (written.when === null ? answerFor(check.kind) : anything)(asked)
  const questions = isUnfinished ? [...theEnd(asked), ...own] : own
  return { questions: questions.map((each) => ({ caseId, ...each })), recording, request }
}
