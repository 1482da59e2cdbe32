import type { Prisma } from '../generated/prisma/client.ts'
import { isDuplicate } from './accounts.ts'
import { writeAudit } from './audit.ts'
import type { Database } from './database.ts'
import { tellNews } from './news.ts'

const exerciseFields = {
  id: true,
  courseId: true,
  code: true,
  title: true,
  summary: true,
  boardId: true,
  order: true,
  isPublished: true,
  opensAt: true,
  dueAt: true,
  closesAt: true,
  mostTries: true,
  pauseSeconds: true,
  revision: true,
} satisfies Prisma.ExerciseSelect

export type ExerciseRow = Prisma.ExerciseGetPayload<{ select: typeof exerciseFields }>

export interface RevisionData {
  readonly code: string
  readonly title: string
  readonly summary: string
  readonly boardId: string
  readonly source: string
  /** The document as core read it; plain JSON. */
  readonly document: unknown
  readonly digest: string
}

export interface Schedule {
  readonly isPublished?: boolean
  readonly opensAt?: Date | null
  readonly dueAt?: Date | null
  readonly closesAt?: Date | null
  readonly order?: number
  readonly mostTries?: number | null
  readonly pauseSeconds?: number | null
}

export async function listExercises({ prisma }: Database, courseId: string): Promise<ExerciseRow[]> {
  return prisma.exercise.findMany({
    where: { courseId },
    select: exerciseFields,
    orderBy: [{ order: 'asc' }, { code: 'asc' }],
  })
}

export async function findExercise({ prisma }: Database, exerciseId: string): Promise<ExerciseRow> {
  return prisma.exercise.findUniqueOrThrow({ where: { id: exerciseId }, select: exerciseFields })
}

export async function findRevision({ prisma }: Database, exerciseId: string, number: number) {
  return prisma.exerciseRevision.findUniqueOrThrow({
    where: { exerciseId_number: { exerciseId, number } },
    select: { number: true, source: true, document: true, digest: true },
  })
}

export async function listRevisions({ prisma }: Database, exerciseId: string) {
  return prisma.exerciseRevision.findMany({
    where: { exerciseId },
    orderBy: { number: 'desc' },
    select: { number: true, digest: true, createdAt: true, createdBy: { select: { id: true, displayName: true } } },
  })
}

export async function createExercise(
  database: Database,
  actorId: string,
  courseId: string,
  revision: RevisionData,
  schedule: Schedule,
): Promise<ExerciseRow | 'code-taken'> {
  const { source, document, digest, ...columns } = revision
  try {
    return await database.prisma.$transaction(async (tx) => {
      const last = await tx.exercise.aggregate({ where: { courseId }, _max: { order: true } })
      const exercise = await tx.exercise.create({
        data: {
          ...columns,
          ...schedule,
          order: schedule.order ?? (last._max.order ?? 0) + 1,
          courseId,
          revisions: { create: { number: 1, source, document: toJson(document), digest, createdById: actorId } },
        },
        select: exerciseFields,
      })
      await noteChange(tx, actorId, exercise, 'exercise-created', { revision: 1 })
      return exercise
    })
  } catch (error) {
    if (isDuplicate(error)) return 'code-taken'
    throw error
  }
}

/** Adds a revision on top of revision `base`; whoever edited an older one is told so. */
export async function addRevision(
  database: Database,
  actorId: string,
  exerciseId: string,
  base: number,
  revision: RevisionData,
): Promise<ExerciseRow | 'outdated' | 'code-taken'> {
  const { source, document, digest, ...columns } = revision
  try {
    return await database.prisma.$transaction(async (tx) => {
      const moved = await tx.exercise.updateMany({
        where: { id: exerciseId, revision: base },
        data: { ...columns, revision: base + 1 },
      })
      if (moved.count === 0) return 'outdated'
      await tx.exerciseRevision.create({
        data: { exerciseId, number: base + 1, source, document: toJson(document), digest, createdById: actorId },
        select: { number: true },
      })
      const exercise = await tx.exercise.findUniqueOrThrow({ where: { id: exerciseId }, select: exerciseFields })
      await noteChange(tx, actorId, exercise, 'exercise-revised', { revision: base + 1 })
      return exercise
    })
  } catch (error) {
    if (isDuplicate(error)) return 'code-taken'
    throw error
  }
}

export async function changeSchedule(
  database: Database,
  actorId: string,
  exerciseId: string,
  schedule: Schedule,
): Promise<ExerciseRow> {
  return database.prisma.$transaction(async (tx) => {
    const before = await tx.exercise.findUniqueOrThrow({ where: { id: exerciseId }, select: { isPublished: true } })
    const exercise = await tx.exercise.update({ where: { id: exerciseId }, data: schedule, select: exerciseFields })
    const detail = Object.fromEntries(
      Object.entries(schedule).map(([key, value]) => [key, value instanceof Date ? value.toISOString() : value]),
    )
    await noteChange(tx, actorId, exercise, 'schedule-changed', detail, before.isPublished)
    return exercise
  })
}

async function noteChange(
  tx: Prisma.TransactionClient,
  actorId: string,
  exercise: ExerciseRow,
  action: string,
  detail: Record<string, string | number | boolean | null>,
  wasPublished = false,
): Promise<void> {
  const { id, courseId } = exercise
  await writeAudit(tx, { actorId, action, objectKind: 'exercise', objectId: id, courseId, detail })
  await tellNews(tx, {
    kind: 'exercise-changed',
    courseId,
    exerciseId: id,
    isForStudents: exercise.isPublished || wasPublished,
  })
}

function toJson(document: unknown): Prisma.InputJsonObject {
  return JSON.parse(JSON.stringify(document)) as Prisma.InputJsonObject
}
