import type { Prisma } from '../generated/prisma/client.ts'
import type { Report } from '../contract/index.ts'
import type { GradeInputs } from '../grader/task.ts'
import { writeAudit } from './audit.ts'
import type { Database, Transaction } from './database.ts'
import { tellNews, type SubmissionPlace } from './news.ts'
import { formatOf } from './submissions.ts'
import { marksGiven, totalOf } from './written-answers.ts'

export const placeFields = {
  id: true,
  courseId: true,
  exerciseId: true,
  studentId: true,
} satisfies Prisma.SubmissionSelect

export function toPlace(row: Prisma.SubmissionGetPayload<{ select: typeof placeFields }>): SubmissionPlace {
  return { submissionId: row.id, courseId: row.courseId, exerciseId: row.exerciseId, studentId: row.studentId }
}

/** All that a submission's runs depend on. */
export const inputFields = {
  format: true,
  text: true,
  seed: true,
  revision: { select: { document: true, exercise: { select: { boardId: true } } } },
} satisfies Prisma.SubmissionSelect

export function toInputs(row: Prisma.SubmissionGetPayload<{ select: typeof inputFields }>): GradeInputs {
  return {
    program: { format: formatOf(row), text: row.text },
    document: row.revision.document,
    seed: row.seed,
    boardId: row.revision.exercise.boardId,
  }
}

/** What a grader took up: the inputs of the grade, and the number of its attempt, under which it may write the result. */
export interface TakenUp {
  readonly place: SubmissionPlace
  readonly attempt: number
  readonly inputs: GradeInputs
}

/** Begins an attempt; null when the submission has its result already or is gone. Any earlier attempt loses its say. */
export async function takeUp({ prisma }: Database, submissionId: string): Promise<TakenUp | null> {
  return prisma.$transaction(async (tx) => {
    const taken = await tx.submission.updateMany({
      where: { id: submissionId, state: { in: ['waiting', 'running'] } },
      data: { state: 'running', attempt: { increment: 1 }, startedAt: new Date() },
    })
    if (taken.count === 0) return null
    const row = await tx.submission.findUniqueOrThrow({
      where: { id: submissionId },
      select: { ...placeFields, ...inputFields, attempt: true },
    })
    const place = toPlace(row)
    await tellNews(tx, { kind: 'submission-running', ...place, progress: null })
    return { place, attempt: row.attempt, inputs: toInputs(row) }
  })
}

export async function tellProgress(
  { prisma }: Database,
  place: SubmissionPlace,
  progress: { readonly casesDone: number; readonly cases: number },
): Promise<void> {
  await tellNews(prisma, { kind: 'submission-running', ...place, progress })
}

/**
 * Writes the result if this attempt still has the say; false when another one has taken over. With a result short of
 * full marks goes the job of looking for causes.
 */
export async function writeReport(
  { prisma }: Database,
  taken: TakenUp,
  report: Report,
  enqueueDiagnosis: (tx: Transaction, submissionId: string) => Promise<void>,
): Promise<boolean> {
  const { submissionId, courseId } = taken.place
  const isToLookInto = report.status === 'graded' && !report.isFullMarks
  return prisma.$transaction(async (tx) => {
    const written = await tx.submission.updateMany({
      where: { id: submissionId, attempt: taken.attempt, state: 'running' },
      data: {
        state: report.status,
        gradedAt: new Date(),
        report: JSON.parse(JSON.stringify(report)) as Prisma.InputJsonObject,
        ...totalOf(report, await marksGiven(tx, submissionId)),
        engine: report.engine,
        fault: null,
        diagnosisState: isToLookInto ? 'looking' : 'none',
      },
    })
    if (written.count === 0) return false
    if (isToLookInto) await enqueueDiagnosis(tx, submissionId)
    await writeAudit(tx, {
      actorId: null,
      action: 'graded',
      objectKind: 'submission',
      objectId: submissionId,
      courseId,
      detail: { attempt: taken.attempt, score: report.score, engine: report.engine },
    })
    await tellNews(tx, { kind: 'submission-graded', ...taken.place })
    return true
  })
}

/** Notes why an attempt failed; the submission waits again. */
export async function noteFailedAttempt({ prisma }: Database, taken: TakenUp, reason: string): Promise<void> {
  await prisma.submission.updateMany({
    where: { id: taken.place.submissionId, attempt: taken.attempt, state: 'running' },
    data: { state: 'waiting', fault: reason.slice(0, 500) },
  })
}

/** After the last attempt: staff are shown the submission, and its text stays. */
export async function giveUp({ prisma }: Database, submissionId: string): Promise<void> {
  await prisma.$transaction(async (tx) => {
    const [row] = await tx.submission.updateManyAndReturn({
      where: { id: submissionId, state: { in: ['waiting', 'running'] } },
      data: { state: 'grader_fault' },
      select: { ...placeFields, attempt: true, fault: true },
    })
    if (row === undefined) return
    await writeAudit(tx, {
      actorId: null,
      action: 'grading-given-up',
      objectKind: 'submission',
      objectId: submissionId,
      courseId: row.courseId,
      detail: { attempts: row.attempt, fault: row.fault },
    })
    await tellNews(tx, { kind: 'submission-fault', ...toPlace(row) })
  })
}
