import { type Comparison, compareRuns, comparisonOptions } from '../../../core/diagnosis/index.ts'
import type { Exercise } from '../../../core/exercise/index.ts'
import { record } from '../../../core/run/index.ts'
import type { Opened } from './opened.ts'
import type { Prepared } from './prepare.ts'

/** The open run is the wanted one. A student is sent no checks: then only what can be seen and heard counts. */
export function compareWith({ recording, request, subject }: Opened, found: Prepared): Comparison {
  const wanted = { recording, request }
  const other = { recording: record(found.request), request: found.request }
  const options = isWhole(subject.exercise)
    ? comparisonOptions(subject.exercise, subject.board, subject.caseId, subject.seed)
    : {}
  return compareRuns(wanted, other, subject.board, options)
}

/** The view of a student says of a check what it is called and no more. */
function isWhole(exercise: unknown): exercise is Exercise {
  return typeof exercise === 'object' && exercise !== null && 'model' in exercise
}
