import { createHash } from 'node:crypto'
import type { Question } from '../../core/exercise/index.ts'
import type { NewSubmission } from '../contract/index.ts'
import { ApiError, tooMany } from '../errors.ts'
import { readStored } from '../exercises/describe-exercise.ts'
import { requireVisible } from '../exercises/routes.ts'
import { stateAt, timesWith } from '../exercises/times.ts'
import { strangeCharacter } from '../plain-text.ts'
import type { Queue } from '../grader/queue.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { findExercise, findRevision } from '../store/exercises.ts'
import { moreTimeFor } from '../store/extensions.ts'
import { acceptSubmission, type Accepted } from '../store/submissions.ts'
import { seedFor } from './seed.ts'

/** Bytes of UTF-8 a hand-in may have. */
export const largestHandIn = 65_536

export interface HandInParts {
  readonly database: Database
  readonly queue: Queue
  readonly place: Place
  readonly studentId: string
  readonly body: NewSubmission
  readonly key: string | null
  readonly now: Date
}

/** Takes in a program, or says why not; nothing is counted that was not taken in. */
export async function handIn(parts: HandInParts): Promise<Accepted> {
  const { database, place, body, now, key } = parts
  requireText(body.text)
  const everybody = await findExercise(database, place.exerciseId ?? '')
  const more = await moreTimeFor(database, everybody.id, parts.studentId)
  const exercise = timesWith(everybody, more ?? undefined)
  const state = stateAt(exercise, now)
  // Staff try an exercise out before it opens and after it has closed.
  if (!isStaff(place.role)) {
    requireVisible(exercise, now)
    if (state === 'closed')
      throw new ApiError(
        'exercise-closed',
        `It closed at ${(exercise.closesAt ?? exercise.dueAt)?.toISOString() ?? ''}.`,
      )
  }
  const revision = await findRevision(database, exercise.id, exercise.revision)
  const { accepts, questions } = readStored(revision.document)
  if (!accepts.includes(body.format))
    throw new ApiError('format-not-taken', `Found '${body.format}', allowed ${accepts.join(', ')}.`)
  const result = await acceptSubmission(
    database,
    {
      courseId: exercise.courseId,
      exerciseId: exercise.id,
      revisionNumber: exercise.revision,
      studentId: parts.studentId,
      format: body.format,
      text: body.text,
      digest: createHash('sha256').update(body.text).digest('hex'),
      seed: await seedFor(database, exercise.id, parts.studentId),
      receivedAt: now,
      isLate: exercise.dueAt !== null && now >= exercise.dueAt,
      answers: readAnswers(body.answers ?? {}, questions),
    },
    key,
    isStaff(place.role) ? null : exercise,
    (tx, submissionId) =>
      parts.queue.grades.enqueue(tx, submissionId, {
        owner: { studentId: parts.studentId, courseId: exercise.courseId },
      }),
  )
  if (result.kind === 'key-reused') throw new ApiError('idempotency-key-reused')
  if (result.kind === 'tries-used-up')
    throw new ApiError(
      'tries-used-up',
      `This exercise allows ${result.most === 1 ? 'one try' : `${result.most} tries`}; none is left.`,
    )
  if (result.kind === 'too-soon') throw tooMany('too-soon', 'This exercise asks for a pause.', result.seconds)
  return result
}

function requireText(text: string): void {
  const size = Buffer.byteLength(text)
  if (size > largestHandIn) throw new ApiError('hand-in-too-large', `Found ${size} bytes, allowed ${largestHandIn}.`)
  if (text.trim() === '') throw new ApiError('hand-in-empty')
  const strange = strangeCharacter(text, false)
  if (strange !== null) throw new ApiError('hand-in-not-text', `Found ${strange}, allowed text.`)
}

/** The answers that are not empty. One to no question, or longer than its question takes, is refused. */
function readAnswers(
  given: Readonly<Record<string, string>>,
  questions: readonly Pick<Question, 'id' | 'longest'>[],
): ReadonlyMap<string, string> {
  const kept = new Map<string, string>()
  for (const [id, written] of Object.entries(given)) {
    const question = questions.find((each) => each.id === id)
    if (question === undefined) {
      const known = questions.length === 0 ? 'none' : questions.map((each) => each.id).join(', ')
      throw new ApiError('answer-unfit', `Found an answer to '${id}', allowed ${known}.`)
    }
    const text = written.trim()
    if (text.length > question.longest)
      throw new ApiError('answer-unfit', `'${id}': found ${text.length} characters, allowed ${question.longest}.`)
    const strange = strangeCharacter(text, false)
    if (strange !== null) throw new ApiError('answer-unfit', `'${id}': found ${strange}, allowed text.`)
    if (text !== '') kept.set(id, text)
  }
  return kept
}
