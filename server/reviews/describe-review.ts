import type { Note, Report, ReviewItem, SubmissionSummary } from '../contract/index.ts'
import type { NoteRow } from '../store/notes.ts'
import type { SummaryRow } from '../store/submissions.ts'
import { toSubmissionSummary } from '../submissions/describe-submission.ts'

/** For staff only: it names hidden checks. */
export function toReviewItem(row: SummaryRow & { readonly report: unknown }): ReviewItem {
  const submission = toSubmissionSummary(row)
  const report = row.report as Report | null
  return {
    submission,
    reason: reasonOf(submission),
    failed: (report?.checks ?? [])
      .filter((check) => check.outcome !== 'passed')
      .map(({ id, title, outcome }) => ({ checkId: id, title, outcome })),
    firstWrong:
      report === null || report.firstWrong === null
        ? null
        : { caseId: report.firstWrong.caseId, step: report.firstWrong.step, checkId: report.firstWrong.checkId },
  }
}

function reasonOf({ review, state, toMark }: SubmissionSummary): ReviewItem['reason'] {
  if (review === 'held') return 'held'
  if (state === 'grader-fault' || state === 'unreadable') return state
  return toMark > 0 ? 'to-mark' : 'failing'
}

/** A note as staff see it, or as a student: a place in a hidden case's run stays hidden. */
export function toNote(row: NoteRow, visibleCases: ReadonlySet<string> | 'all'): Note {
  const isShown = row.caseId === null || visibleCases === 'all' || visibleCases.has(row.caseId)
  return {
    id: row.id,
    submissionId: row.submissionId,
    author: row.author,
    authorRole: row.authorRole,
    caseId: isShown ? row.caseId : null,
    step: isShown ? row.step : null,
    toStep: isShown ? row.toStep : null,
    view: isShown ? row.view : null,
    text: row.text,
    replyTo: row.replyToId,
    isReleased: row.replyTo?.isReleased ?? row.isReleased,
    savedAnswerId: visibleCases === 'all' ? row.savedAnswerId : null,
    createdAt: row.createdAt.toISOString(),
  }
}
