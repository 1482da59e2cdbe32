import type { StartNumber } from '../exercise/index.ts'
import type { Problem } from '../image/index.ts'
import type { RunEnd } from '../run/index.ts'
import type { Addr, Byte, TState } from '../cpu/index.ts'

/**
 * How a check came out by itself. `skipped-by-gate`: it is right and earns nothing yet, because nothing that it rests on is
 * right, or the task rules out what the program does.
 */
export type CheckOutcome =
  'passed' | 'failed' | 'out-of-tolerance' | 'not-reached' | 'skipped-by-gate' | 'budget-used-up' | 'machine-fault'

/** Where in a run something was decided, so that a trace can open there. */
export interface Decision {
  readonly caseId: string
  /** Which values stood in what nothing sets: the last argument of `runRequestFor`. */
  readonly start: StartNumber
  readonly step: number
  readonly t: TState
  /** Address of the instruction. */
  readonly address: Addr
}

export interface CheckResult {
  readonly id: string
  readonly title: string
  readonly kind: string
  readonly group: string
  readonly isVisible: boolean
  /** What its student learns of it: what was measured and wanted, or only whether it is right. */
  readonly tells: 'gap' | 'result'
  readonly outcome: CheckOutcome
  /** Words and figures with their units: `996.8 Hz`, `A = 0Bh`. Null where the check is hidden or was not reached. */
  readonly measured: string | null
  readonly wanted: string | null
  readonly tolerance: string | null
  /** A sentence for the student: what was found, what was wanted. */
  readonly message: string
  readonly decidedAt: Decision | null
  /** `13 of 16 runs right`: what of it is right, where its marks go by the share; null where it is all or nothing. */
  readonly share: string | null
  /** What part of its marks counts, 0 to 1: as much as the checks that it rests on have earned of theirs. */
  readonly counts: number
  readonly marks: number
  readonly outOf: number
}

export interface CaseResult {
  readonly id: string
  readonly title: string
  readonly isVisible: boolean
  /** Which values stood in what nothing sets: the last argument of `runRequestFor`. */
  readonly start: StartNumber
  readonly end: RunEnd
  readonly tStates: TState
  readonly steps: number
  /** How the switches stood at the start and from each move on, until the run ended; only where the task moved them. */
  readonly switches?: readonly { readonly t: TState; readonly value: Byte }[]
}

export interface GroupResult {
  readonly id: string
  readonly title: string
  readonly marks: number
  readonly outOf: number
}

/**
 * The start to run a case with again, so that what went wrong on it is seen: that of the run on which a check failed, the
 * first one graded before others; undefined where the report does not have the case.
 */
export function startIn(report: Pick<Report, 'cases' | 'checks'>, caseId: string): StartNumber | undefined {
  const first = report.cases.find(({ id }) => id === caseId)?.start
  const failed = report.checks.flatMap(({ outcome, decidedAt }) =>
    outcome !== 'passed' && decidedAt?.caseId === caseId ? [decidedAt.start] : [],
  )
  return first !== undefined && failed.includes(first) ? first : (failed[0] ?? first)
}

/** What grading gives: a pure function of program, exercise revision and engine version. Plain JSON, keys in a fixed order. */
export interface Report {
  readonly format: 'hexcairn-report/1'
  readonly engine: string
  readonly exercise: { readonly id: string; readonly title: string; readonly digest: string }
  /** The student's: it decided the constants of the exercise. */
  readonly seed: number
  readonly program: { readonly format: string; readonly bytes: number; readonly digest: string }
  /** `graded`, or `unreadable` when the program could not be read (then `problems` says why and nothing was run). */
  readonly status: 'graded' | 'unreadable'
  readonly problems: readonly Problem[]
  /** 0 to 100, rounded to two places. */
  readonly score: number
  readonly isFullMarks: boolean
  /**
   * Where the score is not what the checks add up to: one byte or one instruction keeps the program from full marks, and such
   * a program has no less than `marks`.
   */
  readonly nearlyRight?: { readonly marks: number; readonly message: string }
  readonly cases: readonly CaseResult[]
  readonly groups: readonly GroupResult[]
  readonly checks: readonly CheckResult[]
  /** The first observable thing that went wrong, over all visible failed checks; the trace opens there. */
  readonly firstWrong: (Decision & { readonly checkId: string }) | null
}
