import type { Prisma } from '../generated/prisma/client.ts'
import { writeAudit } from './audit.ts'
import type { Database, Transaction } from './database.ts'
import { tellNews, type SubmissionPlace } from './news.ts'
import type { HandIn } from './submissions.ts'

export const writtenFields = {
  questionId: true,
  text: true,
  marks: true,
  points: true,
  remark: true,
  markedBy: { select: { id: true, displayName: true } },
  markedAt: true,
} satisfies Prisma.WrittenAnswerSelect

export type WrittenRow = Prisma.WrittenAnswerGetPayload<{ select: typeof writtenFields }>

/** Writes the answers of a new hand-in. One that was marked before, word for word, keeps its marks. */
export async function keepAnswers(tx: Transaction, submissionId: string, handIn: HandIn): Promise<void> {
  if (handIn.answers.size === 0) return
  const { exerciseId, studentId, revisionNumber } = handIn
  const marked = await tx.writtenAnswer.findMany({
    where: { marks: { not: null }, submission: { exerciseId, studentId, revisionNumber } },
    orderBy: { submission: { number: 'desc' } },
  })
  await tx.writtenAnswer.createMany({
    data: [...handIn.answers].map(([questionId, text]) => {
      const before = marked.find((each) => each.questionId === questionId && each.text === text)
      return { ...before, submissionId, questionId, text }
    }),
  })
}

/** Marks that people have given for the written answers of a submission. */
export async function marksGiven(tx: Transaction, submissionId: string): Promise<number> {
  const sum = await tx.writtenAnswer.aggregate({ where: { submissionId }, _sum: { marks: true } })
  return sum._sum.marks ?? 0
}

export interface Marking {
  readonly marks: number
  readonly points: readonly number[]
  readonly remark: string | null
}

/** Marks an answer, or marks it anew; false when there is none. The submission's score follows. */
export async function markAnswer(
  { prisma }: Database,
  actorId: string,
  place: SubmissionPlace,
  questionId: string,
  { marks, points, remark }: Marking,
): Promise<boolean> {
  const { submissionId, courseId } = place
  return prisma.$transaction(async (tx) => {
    // Two of the staff who mark at once take turns, so that the score is the sum of what both gave.
    await tx.$queryRaw`select id from "Submission" where id = ${submissionId} for update`
    const written = await tx.writtenAnswer.updateMany({
      where: { submissionId, questionId },
      data: { marks, points: [...points], remark, markedById: actorId, markedAt: new Date() },
    })
    if (written.count === 0) return false
    const { report } = await tx.submission.findUniqueOrThrow({ where: { id: submissionId }, select: { report: true } })
    const checks = report as { readonly score: number; readonly isFullMarks: boolean } | null
    if (checks !== null)
      await tx.submission.update({
        where: { id: submissionId },
        data: totalOf(checks, await marksGiven(tx, submissionId)),
      })
    await writeAudit(tx, {
      actorId,
      action: 'answer-marked',
      objectKind: 'submission',
      objectId: submissionId,
      courseId,
      detail: { questionId, marks },
    })
    await tellNews(tx, { kind: 'submission-graded', ...place })
    return true
  })
}

/** What a submission has in all: the marks of its checks and those that people gave. */
export function totalOf(
  report: { readonly score: number; readonly isFullMarks: boolean },
  given: number,
): { readonly score: number; readonly isFullMarks: boolean } {
  const score = Math.round((report.score + given) * 100) / 100
  return { score, isFullMarks: report.isFullMarks && score >= 100 }
}
