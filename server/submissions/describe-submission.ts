import type { Report, Submission, SubmissionState, SubmissionSummary } from '../contract/index.ts'
import { studentReport } from '../engine.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { listHintsTaken } from '../store/hints.ts'
import { countHeldNotes } from '../store/notes.ts'
import { countAhead, formatOf, type SummaryRow, type WholeRow } from '../store/submissions.ts'

export function stateOf(row: Pick<SummaryRow, 'state'>): SubmissionState {
  return row.state === 'grader_fault' ? 'grader-fault' : row.state
}

export function toSubmissionSummary(row: SummaryRow): SubmissionSummary {
  return {
    id: row.id,
    courseId: row.courseId,
    exerciseId: row.exerciseId,
    exerciseCode: row.exercise.code,
    exerciseTitle: row.exercise.title,
    student: row.student,
    format: formatOf(row),
    receipt: {
      number: row.number,
      receivedAt: row.receivedAt.toISOString(),
      digest: row.digest,
      isLate: row.isLate,
    },
    state: stateOf(row),
    score: row.score,
    isFullMarks: row.isFullMarks,
    gradedAt: row.gradedAt?.toISOString() ?? null,
    review: row.review?.state ?? 'none',
    notes: row._count.notes,
    diagnosis: row.diagnosisState,
  }
}

/** A stored report as a role may see it; the only way a report leaves the server. */
export function reportFor(role: Place['role'], stored: unknown): Report | null {
  if (stored === null || stored === undefined) return null
  const report = stored as Report
  return isStaff(role) ? report : studentReport(report)
}

/** Hints taken before the hand-in was received. */
async function hintsTakenBefore(database: Database, row: WholeRow): Promise<Submission['hintsTaken']> {
  const taken = await listHintsTaken(database, row.exerciseId, row.student.id)
  return taken
    .filter(({ takenAt }) => takenAt <= row.receivedAt)
    .map(({ number, answer, takenAt }) => ({ number, answer, takenAt: takenAt.toISOString() }))
}

export async function toSubmission(database: Database, role: Place['role'], row: WholeRow): Promise<Submission> {
  return {
    ...toSubmissionSummary(row),
    text: row.text,
    exerciseRevision: row.revisionNumber,
    report: reportFor(role, row.report),
    ahead: row.state === 'waiting' ? await countAhead(database, row.arrival) : null,
    reviewNote: isStaff(role) ? (row.review?.note ?? null) : null,
    heldNotes: isStaff(role) ? await countHeldNotes(database, row.id) : null,
    hintsTaken: await hintsTakenBefore(database, row),
  }
}
