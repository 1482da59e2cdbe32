import { isDuplicate } from './accounts.ts'
import { writeAudit } from './audit.ts'
import type { Database } from './database.ts'

export interface HintTakenRow {
  readonly number: number
  readonly answer: string
  readonly takenAt: Date
}

export async function listHintsTaken(
  { prisma }: Database,
  exerciseId: string,
  userId: string,
): Promise<HintTakenRow[]> {
  return prisma.hintTaken.findMany({
    where: { exerciseId, userId },
    orderBy: { number: 'asc' },
    select: { number: true, answer: true, takenAt: true },
  })
}

/** The first answer stays: taken twice, a hint is told again and nothing is written. */
export async function takeHint(
  database: Database,
  hint: {
    readonly courseId: string
    readonly exerciseId: string
    readonly userId: string
    readonly number: number
    readonly answer: string
  },
): Promise<void> {
  const { courseId, exerciseId, userId, number, answer } = hint
  try {
    await database.prisma.$transaction(async (tx) => {
      await tx.hintTaken.create({ data: { exerciseId, userId, number, answer }, select: { number: true } })
      await writeAudit(tx, {
        actorId: userId,
        action: 'hint-taken',
        objectKind: 'exercise',
        objectId: exerciseId,
        courseId,
        detail: { number, answer },
      })
    })
  } catch (error) {
    if (!isDuplicate(error)) throw error
  }
}
