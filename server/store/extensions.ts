import type { MoreTime } from '../exercises/times.ts'
import { writeAudit } from './audit.ts'
import type { Database } from './database.ts'
import { tellNews } from './news.ts'

/** The extensions of one student in a course, by exercise. */
export async function moreTimeOf(
  { prisma }: Database,
  courseId: string,
  userId: string,
): Promise<ReadonlyMap<string, MoreTime>> {
  const rows = await prisma.extension.findMany({
    where: { userId, exercise: { courseId } },
    select: { exerciseId: true, dueAt: true, closesAt: true },
  })
  return new Map(rows.map(({ exerciseId, ...times }) => [exerciseId, times]))
}

export async function moreTimeFor({ prisma }: Database, exerciseId: string, userId: string): Promise<MoreTime | null> {
  return prisma.extension.findUnique({
    where: { exerciseId_userId: { exerciseId, userId } },
    select: { dueAt: true, closesAt: true },
  })
}

const extensionFields = {
  dueAt: true,
  closesAt: true,
  reason: true,
  createdAt: true,
  user: { select: { id: true, displayName: true } },
  createdBy: { select: { id: true, displayName: true } },
} as const

export async function listExtensions({ prisma }: Database, exerciseId: string) {
  return prisma.extension.findMany({
    where: { exerciseId },
    select: extensionFields,
    orderBy: [{ dueAt: 'asc' }, { userId: 'asc' }],
  })
}

export interface ExtensionPlace {
  readonly courseId: string
  readonly exerciseId: string
  readonly userId: string
}

/** Gives a student more time, or another extension than before; false for somebody who is no student of the course. */
export async function setExtension(
  { prisma }: Database,
  actorId: string,
  { courseId, exerciseId, userId }: ExtensionPlace,
  times: MoreTime & { readonly reason: string },
): Promise<boolean> {
  return prisma.$transaction(async (tx) => {
    const isStudent = await tx.membership.count({ where: { courseId, userId, role: 'student' } })
    if (isStudent === 0) return false
    const data = { ...times, createdById: actorId, createdAt: new Date() }
    const key = { exerciseId_userId: { exerciseId, userId } }
    await tx.extension.upsert({ where: key, create: { exerciseId, userId, ...data }, update: data })
    await writeAudit(tx, {
      actorId,
      action: 'extended',
      objectKind: 'exercise',
      objectId: exerciseId,
      courseId,
      detail: { userId, dueAt: times.dueAt.toISOString(), closesAt: times.closesAt?.toISOString() ?? null },
    })
    await tellNews(tx, { kind: 'exercise-changed', courseId, exerciseId, isForStudents: true })
    return true
  })
}

export async function dropExtension(
  { prisma }: Database,
  actorId: string,
  { courseId, exerciseId, userId }: ExtensionPlace,
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    const { count } = await tx.extension.deleteMany({ where: { exerciseId, userId } })
    if (count === 0) return
    await writeAudit(tx, {
      actorId,
      action: 'extension-taken-back',
      objectKind: 'exercise',
      objectId: exerciseId,
      courseId,
      detail: { userId },
    })
    await tellNews(tx, { kind: 'exercise-changed', courseId, exerciseId, isForStudents: true })
  })
}
