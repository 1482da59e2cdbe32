import { type CompareOptions, type Comparison, compareRuns, comparisonOptions } from '../../../core/diagnosis/index.ts'
import type { Exercise } from '../../../core/exercise/index.ts'
import { record } from '../../../core/run/index.ts'
import type { Opened } from './opened.ts'
import type { Prepared } from './prepare.ts'
import type { TraceSubject } from './protocol.ts'

/** The open run is the wanted one. A student is sent no checks: then only what can be seen and heard counts. */
export function compareWith({ recording, request, subject }: Opened, found: Prepared): Comparison {
  const wanted = { recording, request }
  const other = { recording: record(found.request), request: found.request }
  return compareRuns(wanted, other, subject.board, optionsFor(subject))
}

/** The step of the open run at the first event that the model answer has otherwise; null where there is none. */
export function partingStep({ recording, request, subject }: Opened, model: Prepared): number | null {
  const wanted = { recording: record(model.request), request: model.request }
  const { difference } = compareRuns(wanted, { recording, request }, subject.board, optionsFor(subject))
  return difference === null ? null : difference.at.found.step
}

function optionsFor({ exercise, board, caseId, seed }: TraceSubject): CompareOptions {
  return isWhole(exercise) ? comparisonOptions(exercise, board, caseId, seed) : {}
}

/** The view of a student says of a check what it is called and no more. */
function isWhole(exercise: unknown): exercise is Exercise {
  return typeof exercise === 'object' && exercise !== null && 'model' in exercise
}
