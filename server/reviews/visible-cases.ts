import { caseInstances } from '../../core/exercise/index.ts'
import { ApiError } from '../errors.ts'
import { readStored } from '../exercises/describe-exercise.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { findRevision } from '../store/exercises.ts'
import { findSubmission } from '../store/submissions.ts'

async function casesOf(database: Database, submissionId: string) {
  const row = await findSubmission(database, submissionId)
  if (row === null) throw new ApiError('not-found')
  return caseInstances(readStored((await findRevision(database, row.exerciseId, row.revisionNumber)).document))
}

/** Ids of the cases whose runs a role may see. */
export async function visibleCasesFor(
  database: Database,
  role: Place['role'],
  submissionId: string,
): Promise<ReadonlySet<string> | 'all'> {
  if (isStaff(role)) return 'all'
  const cases = await casesOf(database, submissionId)
  return new Set(cases.filter((each) => each.of.visible).map((each) => each.id))
}

export async function requireCase(database: Database, submissionId: string, caseId: string): Promise<void> {
  const ids = (await casesOf(database, submissionId)).map((each) => each.id)
  if (!ids.includes(caseId))
    throw new ApiError('invalid-request', `Found the case '${caseId}', allowed ${ids.slice(0, 20).join(', ')}.`, {
      faults: [{ pointer: '/caseId', message: 'no such case' }],
    })
}
