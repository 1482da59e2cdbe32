import type { Database, Transaction } from './database.ts'
import { placeFields, toPlace } from './grading.ts'

type Enqueue = (tx: Transaction, submissionId: string, owner: { studentId: string; courseId: string }) => Promise<void>

/** An hour: thousands of hand-ins may wait. */
const longest = { maxWait: 60_000, timeout: 3_600_000 }

/**
 * Gives every hand-in that waits, and every search for causes that was begun, a job: for a database whose queue is empty.
 * `alongside` is done in the same transaction. Gives how many hand-ins wait.
 */
export async function enqueueWaiting(
  { prisma }: Database,
  lanes: { readonly grade: Enqueue; readonly diagnose: Enqueue },
  alongside: (tx: Transaction) => Promise<void>,
): Promise<number> {
  return prisma.$transaction(async (tx) => {
    await tx.submission.updateMany({ where: { state: 'running' }, data: { state: 'waiting', startedAt: null } })
    const list = (where: { state: 'waiting' } | { diagnosisState: 'looking' }) =>
      tx.submission.findMany({ where, orderBy: { arrival: 'asc' }, select: placeFields })
    const waiting = await list({ state: 'waiting' })
    for (const row of waiting) await lanes.grade(tx, row.id, toPlace(row))
    for (const row of await list({ diagnosisState: 'looking' })) await lanes.diagnose(tx, row.id, toPlace(row))
    await alongside(tx)
    return waiting.length
  }, longest)
}
