import {
  exerciseFor,
  parseExercise,
  studentView,
  type Exercise as CoreExercise,
  type Question,
} from '../../core/exercise/index.ts'
import type { Exercise, ExerciseDocument, ExerciseSummary, Standing } from '../contract/index.ts'
import { boards } from '../engine.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { findRevision, type ExerciseRow } from '../store/exercises.ts'
import type { StandingRow } from '../store/standings.ts'
import { seedFor } from '../submissions/seed.ts'
import { stateAt } from './times.ts'

export const noStanding: Standing = {
  attempts: 0,
  state: null,
  bestScore: null,
  lastReceivedAt: null,
  lastSubmissionId: null,
}

export function toStanding(row: StandingRow | undefined): Standing {
  if (row === undefined) return noStanding
  return {
    attempts: row.attempts,
    state: row.lastState,
    bestScore: row.bestScore,
    lastReceivedAt: row.lastReceivedAt.toISOString(),
    lastSubmissionId: row.lastSubmissionId,
  }
}

export interface Counts {
  readonly handedIn: number
  readonly fullMarks: number
  readonly waiting: number
}

export function countStandings(rows: readonly StandingRow[]): Counts {
  return {
    handedIn: rows.length,
    fullMarks: rows.filter((row) => row.hasFullMarks).length,
    waiting: rows.filter((row) => row.lastState === 'waiting' || row.lastState === 'running').length,
  }
}

export interface SummaryParts {
  /** With the times of the reader. */
  readonly exercise: ExerciseRow
  readonly isExtended: boolean
  readonly now: Date
  readonly standing: Standing | null
  readonly counts: (Counts & { readonly students: number }) | null
}

export function toSummary({ exercise, isExtended, now, standing, counts }: SummaryParts): ExerciseSummary {
  return {
    id: exercise.id,
    courseId: exercise.courseId,
    code: exercise.code,
    title: exercise.title,
    summary: exercise.summary,
    order: exercise.order,
    state: stateAt(exercise, now),
    isPublished: exercise.isPublished,
    opensAt: exercise.opensAt?.toISOString() ?? null,
    dueAt: exercise.dueAt?.toISOString() ?? null,
    closesAt: exercise.closesAt?.toISOString() ?? null,
    boardId: exercise.boardId,
    mostTries: exercise.mostTries,
    pauseSeconds: exercise.pauseSeconds,
    isExtended,
    standing,
    counts,
  }
}

/** The document of a stored revision, read by core again so that what it holds is known. */
export function readStored(document: unknown): CoreExercise {
  const read = parseExercise(document)
  if (!read.isOk) throw new Error(`A stored exercise cannot be read: ${read.problems[0]?.message ?? ''}`)
  return read.exercise
}

/** The questions of a stored revision, without reading all of it; a document of an earlier release has none. */
export function storedQuestions(document: unknown): readonly Question[] {
  return (document as { readonly questions?: readonly Question[] }).questions ?? []
}

/** The document as a role may see it. */
export function documentFor(role: Place['role'], exercise: CoreExercise): ExerciseDocument {
  return isStaff(role) ? exercise : studentView(exercise, boards.get(exercise.board))
}

/** Staff get the document as it was written, a student the one with their own values in it. */
export async function toExercise(
  database: Database,
  { id, role }: { readonly id: string; readonly role: Place['role'] },
  parts: SummaryParts,
): Promise<Exercise> {
  const revision = await findRevision(database, parts.exercise.id, parts.exercise.revision)
  const document = readStored(revision.document)
  const own = isStaff(role) ? document : exerciseFor(document, await seedFor(database, parts.exercise.id, id))
  return {
    ...toSummary(parts),
    revision: revision.number,
    digest: revision.digest,
    document: documentFor(role, own),
    source: isStaff(role) ? revision.source : null,
  }
}
