import type { Prisma } from '../generated/prisma/client.ts'
import type { Database } from './database.ts'

const answerFields = {
  id: true,
  courseId: true,
  text: true,
  causeId: true,
  uses: true,
  lastUsedAt: true,
  createdBy: { select: { id: true, displayName: true } },
  createdAt: true,
} satisfies Prisma.SavedAnswerSelect

export type SavedAnswerRow = Prisma.SavedAnswerGetPayload<{ select: typeof answerFields }>

/** Answers a course may keep. */
export const mostAnswers = 500

export async function listSavedAnswers({ prisma }: Database, courseId: string): Promise<SavedAnswerRow[]> {
  return prisma.savedAnswer.findMany({
    where: { courseId },
    select: answerFields,
    orderBy: [{ uses: 'desc' }, { createdAt: 'asc' }],
    take: mostAnswers,
  })
}

export async function findSavedAnswer(
  { prisma }: Database,
  courseId: string,
  answerId: string,
): Promise<SavedAnswerRow | null> {
  return prisma.savedAnswer.findUnique({ where: { id: answerId, courseId }, select: answerFields })
}

export async function addSavedAnswer(
  { prisma }: Database,
  data: {
    readonly courseId: string
    readonly createdById: string
    readonly text: string
    readonly causeId: string | null
  },
): Promise<SavedAnswerRow> {
  return prisma.savedAnswer.create({ data, select: answerFields })
}

/** Null when the course has no such answer. */
export async function changeSavedAnswer(
  { prisma }: Database,
  courseId: string,
  answerId: string,
  patch: { readonly text?: string; readonly causeId?: string | null },
): Promise<SavedAnswerRow | null> {
  const [row] = await prisma.savedAnswer.updateManyAndReturn({
    where: { id: answerId, courseId },
    data: patch,
    select: answerFields,
  })
  return row ?? null
}

/** Notes that used it keep their text. False when the course has no such answer. */
export async function removeSavedAnswer({ prisma }: Database, courseId: string, answerId: string): Promise<boolean> {
  return (await prisma.savedAnswer.deleteMany({ where: { id: answerId, courseId } })).count > 0
}
