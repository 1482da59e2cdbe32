import type { Report, Submission, SubmissionState, SubmissionSummary } from '../contract/index.ts'
import { studentReport } from '../engine.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
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
  }
}

/** A stored report as a role may see it; the only way a report leaves the server. */
export function reportFor(role: Place['role'], stored: unknown): Report | null {
  if (stored === null || stored === undefined) return null
  const report = stored as Report
  return isStaff(role) ? report : studentReport(report)
}

export async function toSubmission(database: Database, role: Place['role'], row: WholeRow): Promise<Submission> {
  return {
    ...toSubmissionSummary(row),
    text: row.text,
    exerciseRevision: row.revisionNumber,
    report: reportFor(role, row.report),
    ahead: row.state === 'waiting' ? await countAhead(database, row.arrival) : null,
    reviewNote: isStaff(role) ? (row.review?.note ?? null) : null,
  }
}
