import type { Prisma } from '../generated/prisma/client.ts'
import type { Report } from '../contract/index.ts'
import type { FoundDiagnosis } from '../diagnoses/found-diagnosis.ts'
import type { GradeInputs } from '../grader/task.ts'
import type { Database } from './database.ts'
import { inputFields, placeFields, toInputs, toPlace } from './grading.ts'
import { tellNews, type SubmissionPlace } from './news.ts'

/** A failed hand-in whose causes are looked for; its grade stands. */
export interface TakenForDiagnosis {
  readonly place: SubmissionPlace
  readonly inputs: GradeInputs & { readonly report: Report }
}

/** Null when the search has ended already, or the submission is gone. */
export async function takeForDiagnosis({ prisma }: Database, submissionId: string): Promise<TakenForDiagnosis | null> {
  const row = await prisma.submission.findUnique({
    where: { id: submissionId, diagnosisState: 'looking' },
    select: { ...placeFields, ...inputFields, report: true },
  })
  if (row === null || row.report === null) return null
  return { place: toPlace(row), inputs: { ...toInputs(row), report: row.report as unknown as Report } }
}

/** Two graders that both looked have found the same: the first one that writes tells. */
export async function writeDiagnosis(
  { prisma }: Database,
  place: SubmissionPlace,
  found: FoundDiagnosis,
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    const written = await tx.submission.updateMany({
      where: { id: place.submissionId, diagnosisState: 'looking' },
      data: { diagnosisState: 'ready', diagnosis: JSON.parse(JSON.stringify(found)) as Prisma.InputJsonObject },
    })
    if (written.count > 0) await tellNews(tx, { kind: 'diagnosis-ready', ...place })
  })
}

/** After the last attempt: the report is told without causes. */
export async function giveUpDiagnosis({ prisma }: Database, submissionId: string): Promise<void> {
  await prisma.$transaction(async (tx) => {
    const [row] = await tx.submission.updateManyAndReturn({
      where: { id: submissionId, diagnosisState: 'looking' },
      data: { diagnosisState: 'failed' },
      select: placeFields,
    })
    if (row !== undefined) await tellNews(tx, { kind: 'diagnosis-ready', ...toPlace(row) })
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
