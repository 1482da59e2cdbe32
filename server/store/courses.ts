import type { Prisma } from '../generated/prisma/client.ts'
import type { CourseRole } from '../contract/index.ts'
import { isDuplicate } from './accounts.ts'
import { writeAudit } from './audit.ts'
import type { Database, Transaction } from './database.ts'
import { tellNews } from './news.ts'

const courseFields = {
  id: true,
  title: true,
  description: true,
  timeZone: true,
  joinCode: true,
  isJoinable: true,
  createdAt: true,
} satisfies Prisma.CourseSelect

export type CourseRow = Prisma.CourseGetPayload<{ select: typeof courseFields }>

export interface CourseData {
  readonly title: string
  readonly description: string
  readonly timeZone: string
}

/** The courses of a user, the newest membership last, with what a list shows. */
export async function listCourses({ prisma }: Database, userId: string, now: Date) {
  const rows = await prisma.membership.findMany({
    where: { userId },
    orderBy: { joinedAt: 'asc' },
    select: {
      role: true,
      course: {
        select: {
          ...courseFields,
          _count: { select: { memberships: { where: { role: 'student' } } } },
          exercises: { select: { isPublished: true, dueAt: true } },
        },
      },
    },
  })
  return rows.map(({ role, course }) => {
    const seen = course.exercises.filter((exercise) => exercise.isPublished || role !== 'student')
    const due = seen
      .flatMap((exercise) => (exercise.isPublished && exercise.dueAt !== null ? [exercise.dueAt.getTime()] : []))
      .filter((time) => time > now.getTime())
    return {
      course,
      role,
      students: course._count.memberships,
      exercises: seen.length,
      nextDueAt: due.length === 0 ? null : new Date(Math.min(...due)),
    }
  })
}

export async function findCourse({ prisma }: Database, courseId: string): Promise<CourseRow> {
  return prisma.course.findUniqueOrThrow({ where: { id: courseId }, select: courseFields })
}

export async function countMembers({ prisma }: Database, courseId: string): Promise<Record<CourseRole, number>> {
  const groups = await prisma.membership.groupBy({ by: ['role'], where: { courseId }, _count: true })
  const counts = { instructor: 0, assistant: 0, student: 0 }
  for (const group of groups) counts[group.role] = group._count
  return counts
}

/** A new course with its creator as instructor. `makeCode` is asked again when a code is in use. */
export async function createCourse(
  database: Database,
  actorId: string,
  data: CourseData,
  makeCode: () => string,
): Promise<CourseRow> {
  return withFreshCode(makeCode, (joinCode) =>
    database.prisma.$transaction(async (tx) => {
      const course = await tx.course.create({
        data: { ...data, joinCode, memberships: { create: { userId: actorId, role: 'instructor' } } },
        select: courseFields,
      })
      await writeAudit(tx, {
        actorId,
        action: 'course-created',
        objectKind: 'course',
        objectId: course.id,
        courseId: course.id,
      })
      return course
    }),
  )
}

export async function changeCourse(
  database: Database,
  actorId: string,
  courseId: string,
  change: Partial<CourseData & { isJoinable: boolean }>,
): Promise<CourseRow> {
  return database.prisma.$transaction(async (tx) => {
    const course = await tx.course.update({ where: { id: courseId }, data: change, select: courseFields })
    await writeAudit(tx, {
      actorId,
      action: 'course-changed',
      objectKind: 'course',
      objectId: courseId,
      courseId,
      detail: { changed: Object.keys(change).join(', ') },
    })
    return course
  })
}

export async function renewJoinCode(
  database: Database,
  actorId: string,
  courseId: string,
  makeCode: () => string,
): Promise<string> {
  return withFreshCode(makeCode, (joinCode) =>
    database.prisma.$transaction(async (tx) => {
      await tx.course.update({ where: { id: courseId }, data: { joinCode }, select: { id: true } })
      await writeAudit(tx, { actorId, action: 'join-code-renewed', objectKind: 'course', objectId: courseId, courseId })
      return joinCode
    }),
  )
}

async function withFreshCode<T>(makeCode: () => string, use: (code: string) => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return await use(makeCode())
    } catch (error) {
      if (attempt === 5 || !isDuplicate(error)) throw error
    }
  }
}

export type JoinResult =
  | { readonly kind: 'joined'; readonly courseId: string }
  | { readonly kind: 'unknown' }
  | { readonly kind: 'already' }
  | { readonly kind: 'taken-out' }

export async function joinCourse(database: Database, userId: string, joinCode: string): Promise<JoinResult> {
  const course = await database.prisma.course.findFirst({ where: { joinCode, isJoinable: true }, select: { id: true } })
  if (course === null) return { kind: 'unknown' }
  try {
    const isIn = await database.prisma.$transaction(async (tx) => {
      const key = { courseId_userId: { courseId: course.id, userId } }
      const former = await tx.formerMember.findUnique({ where: key, select: { removedById: true } })
      if (former !== null && former.removedById !== null) return false
      await tx.membership.create({ data: { courseId: course.id, userId, role: 'student' } })
      if (former !== null) await tx.formerMember.delete({ where: key })
      await writeAudit(tx, {
        actorId: userId,
        action: 'joined',
        objectKind: 'course',
        objectId: course.id,
        courseId: course.id,
      })
      await tellNews(tx, { kind: 'members-changed', courseId: course.id, userId })
      return true
    })
    if (!isIn) return { kind: 'taken-out' }
  } catch (error) {
    if (isDuplicate(error)) return { kind: 'already' }
    throw error
  }
  return { kind: 'joined', courseId: course.id }
}

export const memberFields = {
  role: true,
  joinedAt: true,
  user: { select: { id: true, userName: true, displayName: true } },
} satisfies Prisma.MembershipSelect

export type MemberRow = Prisma.MembershipGetPayload<{ select: typeof memberFields }>

export async function listMembers({ prisma }: Database, courseId: string): Promise<MemberRow[]> {
  return prisma.membership.findMany({
    where: { courseId },
    select: memberFields,
    orderBy: [{ role: 'asc' }, { user: { displayName: 'asc' } }],
  })
}

/** Two instructors who take the role from each other at the same time must not both succeed, so the rows are locked. */
export async function isLastInstructor(tx: Transaction, courseId: string, userId: string): Promise<boolean> {
  const instructors = await tx.$queryRaw<{ userId: string }[]>`
    select "userId" from "Membership" where "courseId" = ${courseId} and role = 'instructor' for update`
  return instructors.length === 1 && instructors[0]?.userId === userId
}

export async function changeRole(
  database: Database,
  actorId: string,
  courseId: string,
  userId: string,
  role: CourseRole,
): Promise<MemberRow | 'unknown' | 'last-instructor'> {
  return database.prisma.$transaction(async (tx) => {
    const key = { courseId_userId: { courseId, userId } }
    const before = await tx.membership.findUnique({ where: key, select: { role: true } })
    if (before === null) return 'unknown'
    if (role !== 'instructor' && (await isLastInstructor(tx, courseId, userId))) return 'last-instructor'
    const member = await tx.membership.update({ where: key, data: { role }, select: memberFields })
    await writeAudit(tx, {
      actorId,
      action: 'role-changed',
      objectKind: 'user',
      objectId: userId,
      courseId,
      detail: { from: before.role, to: role },
    })
    await tellNews(tx, { kind: 'members-changed', courseId, userId })
    return member
  })
}

export async function roleIn({ prisma }: Database, courseId: string, userId: string): Promise<CourseRole | null> {
  const key = { courseId_userId: { courseId, userId } }
  return (await prisma.membership.findUnique({ where: key, select: { role: true } }))?.role ?? null
}

/** The roles of some users in all their courses. */
export async function rolesOf(
  { prisma }: Database,
  userIds: readonly string[],
): Promise<readonly { readonly userId: string; readonly courseId: string; readonly role: CourseRole }[]> {
  return prisma.membership.findMany({
    where: { userId: { in: [...userIds] } },
    select: { userId: true, courseId: true, role: true },
  })
}

/** Makes somebody a member without a code, for data that is made up. */
export async function addMember(
  { prisma }: Database,
  courseId: string,
  userId: string,
  role: CourseRole,
): Promise<void> {
  await prisma.membership.create({ data: { courseId, userId, role } })
}
