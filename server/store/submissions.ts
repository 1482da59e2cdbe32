import { createHash } from 'node:crypto'
import type { Prisma } from '../generated/prisma/client.ts'
import type { ProgramFormat } from '../contract/index.ts'
import { isDuplicate } from './accounts.ts'
import { writeAudit } from './audit.ts'
import type { Database, Transaction } from './database.ts'
import { tellNews } from './news.ts'
import { releasedNotes } from './notes.ts'
import { keepAnswers, writtenFields } from './written-answers.ts'

export const summaryFields = {
  id: true,
  arrival: true,
  courseId: true,
  exerciseId: true,
  number: true,
  format: true,
  digest: true,
  receivedAt: true,
  isLate: true,
  state: true,
  score: true,
  isFullMarks: true,
  gradedAt: true,
  exercise: { select: { code: true, title: true } },
  student: { select: { id: true, displayName: true } },
  review: { select: { state: true } },
  diagnosisState: true,
  _count: { select: { notes: { where: releasedNotes }, written: { where: { marks: null } } } },
} satisfies Prisma.SubmissionSelect

export type SummaryRow = Prisma.SubmissionGetPayload<{ select: typeof summaryFields }>

const wholeFields = {
  ...summaryFields,
  text: true,
  seed: true,
  revisionNumber: true,
  report: true,
  review: { select: { state: true, note: true } },
  written: { select: writtenFields },
  revision: { select: { document: true } },
} satisfies Prisma.SubmissionSelect

export type WholeRow = Prisma.SubmissionGetPayload<{ select: typeof wholeFields }>

const storedFormats = { hex: 'hex', 'intel-hex': 'intel_hex', assembly: 'assembly' } as const

export interface HandIn {
  readonly courseId: string
  readonly exerciseId: string
  readonly revisionNumber: number
  readonly studentId: string
  readonly format: ProgramFormat
  readonly text: string
  readonly digest: string
  readonly seed: number
  readonly receivedAt: Date
  readonly isLate: boolean
  /** Answers in words, none of them empty, by the id of their question. */
  readonly answers: ReadonlyMap<string, string>
}

export interface Accepted {
  readonly kind: 'accepted' | 'repeated'
  readonly submissionId: string
}

export type AcceptResult =
  | Accepted
  | { readonly kind: 'key-reused' }
  | { readonly kind: 'tries-used-up'; readonly most: number }
  | { readonly kind: 'too-soon'; readonly seconds: number }

/** How often a student may hand in; null for no bound. */
export interface TryLimits {
  readonly mostTries: number | null
  readonly pauseSeconds: number | null
}

/**
 * Writes the submission and its job together: what is accepted is graded, whatever happens next. With `key` the same
 * hand-in sent again answers the first one.
 */
export async function acceptSubmission(
  database: Database,
  handIn: HandIn,
  key: string | null,
  limits: TryLimits | null,
  enqueue: (tx: Transaction, submissionId: string) => Promise<void>,
): Promise<AcceptResult> {
  const { answers: _answers, ...row } = handIn
  const { courseId, studentId } = handIn
  const requestDigest = requestDigestOf(handIn)
  try {
    return await database.prisma.$transaction(async (tx) => {
      // One hand-in of a person after the other: numbers have no gaps and a key is looked up before it is written.
      await tx.$queryRaw`select "userId" from "Membership" where "courseId" = ${courseId} and "userId" = ${studentId} for update`
      if (key !== null) {
        const earlier = await tx.idempotencyKey.findUnique({ where: { userId_key: { userId: studentId, key } } })
        if (earlier !== null)
          return earlier.requestDigest === requestDigest
            ? { kind: 'repeated', submissionId: earlier.submissionId }
            : { kind: 'key-reused' }
      }
      const refused = limits === null ? null : await refusalBy(tx, limits, handIn)
      if (refused !== null) return refused
      const last = await tx.submission.aggregate({
        where: { exerciseId: handIn.exerciseId, studentId },
        _max: { number: true },
      })
      const { id } = await tx.submission.create({
        data: { ...row, format: storedFormats[handIn.format], number: (last._max.number ?? 0) + 1 },
        select: { id: true },
      })
      await keepAnswers(tx, id, handIn)
      if (key !== null)
        await tx.idempotencyKey.create({ data: { userId: studentId, key, requestDigest, submissionId: id } })
      await enqueue(tx, id)
      await writeAudit(tx, {
        actorId: studentId,
        action: 'handed-in',
        objectKind: 'submission',
        objectId: id,
        courseId,
        detail: { digest: handIn.digest, isLate: handIn.isLate },
      })
      await tellNews(tx, {
        kind: 'submission-received',
        submissionId: id,
        courseId,
        exerciseId: handIn.exerciseId,
        studentId,
      })
      return { kind: 'accepted', submissionId: id }
    })
  } catch (error) {
    // The same key sent for two exercises at once from two courses meets here; the first one won.
    if (key !== null && isDuplicate(error)) return { kind: 'key-reused' }
    throw error
  }
}

/** Whether a student has to wait or has no try left. What could not be read or graded is no try. */
async function refusalBy(
  tx: Transaction,
  { mostTries, pauseSeconds }: TryLimits,
  { exerciseId, studentId, receivedAt }: HandIn,
): Promise<Exclude<AcceptResult, Accepted> | null> {
  if (mostTries === null && pauseSeconds === null) return null
  const { _count: used, _max } = await tx.submission.aggregate({
    where: { exerciseId, studentId, state: { notIn: ['unreadable', 'grader_fault'] } },
    _count: true,
    _max: { receivedAt: true },
  })
  if (mostTries !== null && used >= mostTries) return { kind: 'tries-used-up', most: mostTries }
  const rest = (pauseSeconds ?? 0) - (receivedAt.getTime() - (_max.receivedAt?.getTime() ?? -Infinity)) / 1000
  return rest > 0 ? { kind: 'too-soon', seconds: rest } : null
}

function requestDigestOf({ exerciseId, format, digest, answers }: HandIn): string {
  const words = [...answers].toSorted(([a], [b]) => (a < b ? -1 : 1))
  const wordsDigest = words.length === 0 ? [] : [createHash('sha256').update(JSON.stringify(words)).digest('hex')]
  return [exerciseId, format, digest, ...wordsDigest].join(' ')
}

export async function findSubmission({ prisma }: Database, submissionId: string): Promise<WholeRow | null> {
  return prisma.submission.findUnique({ where: { id: submissionId }, select: wholeFields })
}

export async function findSummary({ prisma }: Database, submissionId: string): Promise<SummaryRow | null> {
  return prisma.submission.findUnique({ where: { id: submissionId }, select: summaryFields })
}

export async function countWaiting({ prisma }: Database): Promise<number> {
  return prisma.submission.count({ where: { state: { in: ['waiting', 'running'] } } })
}

export interface ListOptions {
  readonly exerciseId: string
  readonly studentId: string | null
  /** Arrival of the last one on the page before. */
  readonly after: bigint | null
  readonly limit: number
}

/** Newest first; one more than `limit` when there is a further page. */
export async function listSubmissions({ prisma }: Database, options: ListOptions): Promise<SummaryRow[]> {
  return prisma.submission.findMany({
    where: {
      exerciseId: options.exerciseId,
      ...(options.studentId === null ? {} : { studentId: options.studentId }),
      ...(options.after === null ? {} : { arrival: { lt: options.after } }),
    },
    orderBy: { arrival: 'desc' },
    take: options.limit + 1,
    select: summaryFields,
  })
}

export function formatOf(row: { readonly format: SummaryRow['format'] }): ProgramFormat {
  return row.format === 'intel_hex' ? 'intel-hex' : row.format
}
