import { writeAudit } from './audit.ts'
import type { Database, Transaction } from './database.ts'
import { placeFields, toPlace } from './grading.ts'
import { tellNews } from './news.ts'

/**
 * Puts a hand-in on which the grader failed back into the queue, with its row and its job in one transaction. False where it
 * is none: one that waits, runs or has its report stays as it is. `actorId` null is an operator.
 */
export async function gradeAgain(
  { prisma }: Database,
  submissionId: string,
  actorId: string | null,
  enqueue: (tx: Transaction, submissionId: string, owner: { studentId: string; courseId: string }) => Promise<void>,
): Promise<boolean> {
  return prisma.$transaction(async (tx) => {
    const [row] = await tx.submission.updateManyAndReturn({
      where: { id: submissionId, state: 'grader_fault' },
      data: { state: 'waiting', fault: null, startedAt: null },
      select: placeFields,
    })
    if (row === undefined) return false
    const place = toPlace(row)
    await enqueue(tx, submissionId, place)
    await writeAudit(tx, {
      actorId,
      action: 'graded-again',
      objectKind: 'submission',
      objectId: submissionId,
      courseId: place.courseId,
      detail: {},
    })
    await tellNews(tx, { kind: 'submission-received', ...place })
    return true
  })
}

/** Ids of the hand-ins on which the grader failed, oldest first. */
export async function listFaults({ prisma }: Database): Promise<readonly string[]> {
  const rows = await prisma.submission.findMany({
    where: { state: 'grader_fault' },
    orderBy: { arrival: 'asc' },
    select: { id: true },
  })
  return rows.map(({ id }) => id)
}
