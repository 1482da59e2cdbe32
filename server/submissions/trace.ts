import { caseInstances, exerciseFor } from '../../core/exercise/index.ts'
import type { Trace } from '../contract/index.ts'
import { boards } from '../engine.ts'
import { documentFor, readStored } from '../exercises/describe-exercise.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { findRevision } from '../store/exercises.ts'
import { formatOf, type WholeRow } from '../store/submissions.ts'
import { reportFor, toSubmissionSummary } from './describe-submission.ts'

/** Inputs of a submission's runs. A trace is never stored: core gives the same run from the same inputs. */
export async function describeTrace(database: Database, role: Place['role'], row: WholeRow): Promise<Trace> {
  const revision = await findRevision(database, row.exerciseId, row.revisionNumber)
  const exercise = exerciseFor(readStored(revision.document), row.seed)
  const board = boards.get(exercise.board)
  if (board === undefined) throw new Error(`The board ${exercise.board} is not installed any more.`)
  const cases = caseInstances(exercise).map((each) => ({
    id: each.id,
    title: each.title,
    isVisible: each.of.visible,
  }))
  return {
    submission: toSubmissionSummary(row),
    program: { format: formatOf(row), text: row.text },
    board,
    exercise: documentFor(role, exercise),
    seed: row.seed,
    cases: isStaff(role) ? cases : cases.filter((each) => each.isVisible),
    report: reportFor(role, row.report),
    model: isStaff(role) || exercise.compare === 'students' ? exercise.model : null,
  }
}
