import type { Prisma } from '../generated/prisma/client.ts'
import type { Report } from '../contract/index.ts'
import type { FoundDiagnosis } from '../diagnoses/found-diagnosis.ts'
import type { GradeInputs } from '../grader/task.ts'
import type { Database, Transaction } from './database.ts'
import { inputFields, placeFields, toInputs, toPlace } from './grading.ts'
import { tellNews, type SubmissionPlace } from './news.ts'

/** A failed hand-in whose causes are looked for; its grade stands. */
export interface TakenForDiagnosis {
  readonly place: SubmissionPlace
  readonly inputs: GradeInputs & { readonly report: Report }
}

/**
 * Null when the search has ended already, or the submission is gone. A hand-in that a later one has replaced is looked into
 * only when somebody asks.
 */
export async function takeForDiagnosis(
  { prisma }: Database,
  submissionId: string,
  isAsked: boolean,
): Promise<TakenForDiagnosis | null> {
  const row = await prisma.submission.findUnique({
    where: { id: submissionId, diagnosisState: 'looking' },
    select: { ...placeFields, ...inputFields, number: true, report: true },
  })
  if (row === null || row.report === null) return null
  const { exerciseId, studentId, number } = row
  const later = isAsked
    ? 0
    : await prisma.submission.count({ where: { exerciseId, studentId, number: { gt: number } } })
  if (later > 0) {
    await endSearch(prisma, toPlace(row), { diagnosisState: 'none' })
    return null
  }
  return { place: toPlace(row), inputs: { ...toInputs(row), report: row.report as unknown as Report } }
}

/** Has a failed hand-in looked into that was not yet; does nothing for any other. */
export async function askForDiagnosis(
  { prisma }: Database,
  submissionId: string,
  enqueue: (tx: Transaction, submissionId: string) => Promise<void>,
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    const begun = await tx.submission.updateMany({
      where: { id: submissionId, state: 'graded', isFullMarks: false, diagnosisState: 'none' },
      data: { diagnosisState: 'looking' },
    })
    if (begun.count > 0) await enqueue(tx, submissionId)
  })
}

export async function writeDiagnosis(
  { prisma }: Database,
  place: SubmissionPlace,
  found: FoundDiagnosis,
): Promise<void> {
  const diagnosis = JSON.parse(JSON.stringify(found)) as Prisma.InputJsonObject
  await endSearch(prisma, place, { diagnosisState: 'ready', diagnosis })
}

/** After the last attempt: the report is told without causes. */
export async function giveUpDiagnosis({ prisma }: Database, submissionId: string): Promise<void> {
  const row = await prisma.submission.findUnique({ where: { id: submissionId }, select: placeFields })
  if (row !== null) await endSearch(prisma, toPlace(row), { diagnosisState: 'failed' })
}

/** Two graders that both looked have found the same: the first one that writes tells. */
async function endSearch(
  prisma: Database['prisma'],
  place: SubmissionPlace,
  data: Prisma.SubmissionUpdateManyMutationInput,
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    const written = await tx.submission.updateMany({
      where: { id: place.submissionId, diagnosisState: 'looking' },
      data,
    })
    if (written.count > 0) await tellNews(tx, { kind: 'diagnosis-ready', ...place })
  })
}

export async function findDiagnosisRow({ prisma }: Database, submissionId: string) {
  return prisma.submission.findUniqueOrThrow({
    where: { id: submissionId },
    select: {
      exerciseId: true,
      seed: true,
      report: true,
      diagnosisState: true,
      diagnosis: true,
      revision: { select: { document: true } },
      exercise: { select: { feedback: true, course: { select: { feedback: true } } } },
    },
  })
}
