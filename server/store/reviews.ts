import { Prisma } from '../generated/prisma/client.ts'
import { writeAudit } from './audit.ts'
import type { Database } from './database.ts'
import { tellNews, type SubmissionPlace } from './news.ts'
import { summaryFields, type SummaryRow } from './submissions.ts'

export async function putReview(
  { prisma }: Database,
  actorId: string,
  place: SubmissionPlace,
  state: 'open' | 'held' | 'settled',
  note: string | undefined,
) {
  const { submissionId, courseId } = place
  return prisma.$transaction(async (tx) => {
    const values = { state, byId: actorId, at: new Date(), ...(note === undefined ? {} : { note }) }
    const review = await tx.review.upsert({
      where: { submissionId },
      create: { submissionId, ...values },
      update: values,
      select: { state: true, note: true, at: true, by: { select: { id: true, displayName: true } } },
    })
    await writeAudit(tx, {
      actorId,
      action: 'reviewed',
      objectKind: 'submission',
      objectId: submissionId,
      courseId,
      detail: { state },
    })
    await tellNews(tx, { kind: 'review-changed', ...place, state })
    return review
  })
}

/**
 * Ids of the newest submission of each student to each exercise that has an end, is not full marks (or is held), and is
 * not settled, or has a written answer to mark; oldest first.
 */
const queued = (courseId: string) => Prisma.sql`
  select s.id, s.arrival from (
    select distinct on (s."exerciseId", s."studentId") s.id, s.arrival, s.state, s."isFullMarks"
    from "Submission" s
    join "Membership" m on m."courseId" = s."courseId" and m."userId" = s."studentId" and m.role = 'student'
    where s."courseId" = ${courseId}
    order by s."exerciseId", s."studentId", s.number desc
  ) s left join "Review" r on r."submissionId" = s.id
  where s.state in ('graded', 'unreadable', 'grader-fault')
    and (
      ((not s."isFullMarks" or r.state = 'held') and (r.state is null or r.state <> 'settled'))
      or exists (select 1 from "WrittenAnswer" w where w."submissionId" = s.id and w.marks is null)
    )`

export interface QueuePage {
  readonly ids: readonly string[]
  readonly total: number
}

export async function listQueue(
  { prisma }: Database,
  courseId: string,
  after: bigint | null,
  limit: number,
): Promise<QueuePage> {
  const from = after ?? -1n
  const rows = await prisma.$queryRaw<{ id: string }[]>`
    select q.id from (${queued(courseId)}) q where q.arrival > ${from} order by q.arrival limit ${limit + 1}`
  const [count] = await prisma.$queryRaw<{ count: bigint }[]>`select count(*) as count from (${queued(courseId)}) q`
  return { ids: rows.map((row) => row.id), total: Number(count?.count ?? 0n) }
}

const reviewFields = { ...summaryFields, report: true } satisfies Prisma.SubmissionSelect

export async function findWithReports(
  { prisma }: Database,
  ids: readonly string[],
): Promise<(SummaryRow & { report: Prisma.JsonValue })[]> {
  return prisma.submission.findMany({
    where: { id: { in: [...ids] } },
    orderBy: { arrival: 'asc' },
    select: reviewFields,
  })
}
