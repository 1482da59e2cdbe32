import { Prisma } from '../generated/prisma/client.ts'
import type { SubmissionState } from '../contract/index.ts'
import type { Database } from './database.ts'

/** How one student stands with one exercise. */
export interface StandingRow {
  readonly studentId: string
  readonly exerciseId: string
  readonly attempts: number
  readonly bestScore: number | null
  readonly hasFullMarks: boolean
  /** Whether the submission that has the best score came late. */
  readonly isBestLate: boolean
  readonly lastState: SubmissionState
  readonly lastReceivedAt: Date
  readonly lastSubmissionId: string
}

/** Standings of one student, or of all students of the course. People who hand in without being students are left out. */
export async function listStandings(
  { prisma }: Database,
  courseId: string,
  studentId: string | null = null,
): Promise<StandingRow[]> {
  const one = studentId === null ? Prisma.sql`and m.role = 'student'` : Prisma.sql`and s."studentId" = ${studentId}`
  return prisma.$queryRaw<StandingRow[]>`
    select s."studentId", s."exerciseId",
      count(*)::int as attempts,
      max(s.score)::float8 as "bestScore",
      bool_or(s."isFullMarks") as "hasFullMarks",
      coalesce((array_agg(s."isLate" order by s.score desc nulls last, s.number))[1], false) as "isBestLate",
      (array_agg(s.state order by s.number desc))[1]::text as "lastState",
      max(s."receivedAt") as "lastReceivedAt",
      (array_agg(s.id order by s.number desc))[1] as "lastSubmissionId"
    from "Submission" s
    join "Membership" m on m."courseId" = s."courseId" and m."userId" = s."studentId"
    where s."courseId" = ${courseId} ${one}
    group by s."studentId", s."exerciseId"`
}

export async function listStudents({ prisma }: Database, courseId: string) {
  const rows = await prisma.membership.findMany({
    where: { courseId, role: 'student' },
    select: { user: { select: { id: true, userName: true, displayName: true } } },
    orderBy: [{ user: { displayName: 'asc' } }, { userId: 'asc' }],
  })
  return rows.map((row) => row.user)
}

export async function countByState({ prisma }: Database, courseId: string): Promise<Record<SubmissionState, number>> {
  const groups = await prisma.submission.groupBy({ by: ['state'], where: { courseId }, _count: true })
  const counts = { waiting: 0, running: 0, graded: 0, unreadable: 0, 'grader-fault': 0 }
  for (const group of groups) counts[group.state === 'grader_fault' ? 'grader-fault' : group.state] = group._count
  return counts
}
