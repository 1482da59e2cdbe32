import type { CourseRole } from '../contract/index.ts'
import { writeAudit } from './audit.ts'
import { isLastInstructor, memberFields, type MemberRow } from './courses.ts'
import type { Database } from './database.ts'
import { tellNews } from './news.ts'

export interface FormerMemberRow {
  readonly user: { readonly id: string; readonly userName: string; readonly displayName: string }
  readonly role: CourseRole
  readonly leftAt: Date
  /** Null for somebody who left by themselves. */
  readonly removedById: string | null
  readonly handIns: number
}

/** Ends a membership, by the member or by an instructor; hand-ins, notes and marks given stay. */
export async function leaveCourse(
  { prisma }: Database,
  actorId: string,
  courseId: string,
  userId: string,
): Promise<'left' | 'unknown' | 'last-instructor'> {
  return prisma.$transaction(async (tx) => {
    if (await isLastInstructor(tx, courseId, userId)) return 'last-instructor'
    const key = { courseId_userId: { courseId, userId } }
    const [member] = await tx.membership.findMany({ where: { courseId, userId }, select: { role: true } })
    if (member === undefined) return 'unknown'
    await tx.membership.delete({ where: key })
    const former = { role: member.role, leftAt: new Date(), removedById: actorId === userId ? null : actorId }
    await tx.formerMember.upsert({ where: key, create: { courseId, userId, ...former }, update: former })
    await writeAudit(tx, {
      actorId,
      action: actorId === userId ? 'left' : 'taken-out',
      objectKind: 'user',
      objectId: userId,
      courseId,
      detail: { role: member.role },
    })
    await tellNews(tx, { kind: 'members-changed', courseId, userId })
    return 'left'
  })
}

/** Makes a former member one again, in the role they had; null for who is none. */
export async function bringBack(
  { prisma }: Database,
  actorId: string,
  courseId: string,
  userId: string,
): Promise<MemberRow | null> {
  return prisma.$transaction(async (tx) => {
    const [former] = await tx.formerMember.findMany({ where: { courseId, userId }, select: { role: true } })
    if (former === undefined) return null
    await tx.formerMember.deleteMany({ where: { courseId, userId } })
    const key = { courseId_userId: { courseId, userId } }
    const { role } = former
    const member = await tx.membership.upsert({
      where: key,
      create: { courseId, userId, role },
      update: {},
      select: memberFields,
    })
    await writeAudit(tx, {
      actorId,
      action: 'brought-back',
      objectKind: 'user',
      objectId: userId,
      courseId,
      detail: { role },
    })
    await tellNews(tx, { kind: 'members-changed', courseId, userId })
    return member
  })
}

/** The last to go first. */
export async function listFormerMembers({ prisma }: Database, courseId: string): Promise<FormerMemberRow[]> {
  const rows = await prisma.formerMember.findMany({
    where: { courseId },
    orderBy: [{ leftAt: 'desc' }, { userId: 'asc' }],
    select: {
      role: true,
      leftAt: true,
      removedById: true,
      user: { select: { id: true, userName: true, displayName: true } },
    },
  })
  const counts = await prisma.submission.groupBy({
    by: ['studentId'],
    where: { courseId, studentId: { in: rows.map(({ user }) => user.id) } },
    _count: true,
  })
  const handIns = new Map(counts.map(({ studentId, _count }) => [studentId, _count]))
  return rows.map((row) => ({ ...row, handIns: handIns.get(row.user.id) ?? 0 }))
}
