import type { Report, Submission, SubmissionState, SubmissionSummary, WrittenAnswer } from '../contract/index.ts'
import { studentReport } from '../engine.ts'
import { storedQuestions } from '../exercises/describe-exercise.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { listHintsTaken } from '../store/hints.ts'
import { countHeldNotes } from '../store/notes.ts'
import { formatOf, type SummaryRow, type WholeRow } from '../store/submissions.ts'
import { waitOf } from './waiting.ts'

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
    toMark: row._count.written,
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

/** The questions with what was written to them. How an answer is marked, a student learns when it is. */
function writtenAnswers(role: Place['role'], { revision, written }: WholeRow): WrittenAnswer[] {
  return storedQuestions(revision.document).map(({ id, ask, marks: outOf, rubric, sample }) => {
    const row = written.find(({ questionId }) => questionId === id)
    const isShown = isStaff(role) || (row !== undefined && row.marks !== null)
    return {
      questionId: id,
      ask,
      outOf,
      text: row?.text ?? '',
      marks: row?.marks ?? null,
      remark: row?.remark ?? null,
      markedBy: row?.markedBy ?? null,
      markedAt: row?.markedAt?.toISOString() ?? null,
      rubric: isShown ? rubric.map((point, i) => ({ ...point, isMet: row?.points.includes(i) ?? false })) : null,
      sample: isStaff(role) ? sample : null,
    }
  })
}

export async function toSubmission(database: Database, role: Place['role'], row: WholeRow): Promise<Submission> {
  return {
    ...toSubmissionSummary(row),
    text: row.text,
    exerciseRevision: row.revisionNumber,
    report: reportFor(role, row.report),
    written: writtenAnswers(role, row),
    wait: row.state === 'waiting' ? await waitOf(database, row.id) : null,
    reviewNote: isStaff(role) ? (row.review?.note ?? null) : null,
    heldNotes: isStaff(role) ? await countHeldNotes(database, row.id) : null,
    hintsTaken: await hintsTakenBefore(database, row),
  }
}
