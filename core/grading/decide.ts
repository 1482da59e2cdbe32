import {
  endText,
  floodOf,
  type CaseRun,
  type Moment,
  type Parts,
  type PreparedCheck,
  type Verdict,
} from '../exercise/index.ts'
import type { EventFlood } from '../run/index.ts'
import { startOf } from './graded-run.ts'
import type { CheckOutcome, Decision } from './report.ts'

/** How a check came out, and where. */
export interface Decided {
  readonly outcome: CheckOutcome
  readonly measured: string
  readonly wanted: string
  readonly tolerance: string | null
  readonly message: string
  readonly decidedAt: Decision
  /**
   * How many of its parts are right, counted when asked; null where it has none or the run has no answer. Of a run that did
   * not come to its end they are those that stood when it was stopped.
   */
  readonly parts: (() => Parts) | null
}

/** A verdict without parts is one part. */
function partsOf({ outcome, parts }: Verdict): Parts {
  return parts?.() ?? { right: outcome === 'passed' ? 1 : 0, of: 1, before: 0 }
}

/**
 * Evaluates a check on a run; a check that looks at the end has no answer where the program did not stop by itself, and none
 * that looks at the run has one where it was stopped for its many events.
 */
export function decideOn(check: PreparedCheck, run: CaseRun): Decided {
  const { flood, unfinished } = unfinishedOn(check, run)
  if (unfinished !== null) {
    const { result } = run
    const ended = endText(result.end, result.lastPc, run.profile)
    const stands = flood === null && check.isCreditedWithoutEnd(run) ? () => partsOf(check.evaluate(run)) : null
    return {
      outcome: unfinished,
      measured: ended,
      wanted: check.describe(run.profile),
      tolerance: null,
      message:
        flood === null
          ? `The program did not come to its end: ${ended}.`
          : `The run was stopped: ${ended}. Is a pause missing?`,
      decidedAt: {
        caseId: run.caseId,
        start: startOf(run.request),
        step: result.steps,
        t: result.tStates,
        address: result.lastPc,
      },
      parts: stands,
    }
  }
  const { at, parts = null, ...verdict } = check.evaluate(run)
  return { ...verdict, decidedAt: decisionOf(run, at), parts }
}

/** Whether `decideOn` would say that it passed; where it passed cannot be asked, which spares a recording. */
export function isPassedOn(check: PreparedCheck, run: CaseRun): boolean {
  return unfinishedOn(check, run).unfinished === null && check.evaluate(run).outcome === 'passed'
}

function unfinishedOn(
  check: PreparedCheck,
  run: CaseRun,
): { flood: EventFlood | null; unfinished: CheckOutcome | null } {
  const flood = check.needsRun ? floodOf(run.result.end) : null
  return { flood, unfinished: flood !== null ? 'budget-used-up' : check.needsEnd ? unfinishedOutcome(run) : null }
}

function unfinishedOutcome(run: CaseRun): CheckOutcome | null {
  switch (run.result.end.kind) {
    case 'halted':
    case 'returned':
      return null
    case 'budget-used-up':
    case 'proven-loop':
      return 'budget-used-up'
    case 'left-program':
    case 'stack-fault':
      return 'machine-fault'
    case 'breakpoint':
    case 'stopped':
      return 'not-reached'
  }
}

function decisionOf(run: CaseRun, at: Moment): Decision {
  const step = at.step ?? run.recording().stepAt(at.t)
  return { caseId: run.caseId, start: startOf(run.request), step, t: at.t, address: at.address }
}
