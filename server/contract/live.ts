import Type, { type Static } from 'typebox'
import { Note } from './reviews.ts'
import { Progress, ReviewState, SubmissionSummary, Wait } from './submissions.ts'
import { Id, nullable, Timestamp } from './value.ts'

/** What a browser sends over `/api/live`. Each message is authorised by itself. */
export const ClientMessage = Type.Union([
  /** Staff hear of every submission of the course, a student of their own. */
  Type.Object({ kind: Type.Literal('watch'), courseId: Id }, { additionalProperties: false }),
  Type.Object({ kind: Type.Literal('unwatch'), courseId: Id }, { additionalProperties: false }),
  Type.Object({ kind: Type.Literal('watch-submission'), submissionId: Id }, { additionalProperties: false }),
  Type.Object({ kind: Type.Literal('unwatch-submission'), submissionId: Id }, { additionalProperties: false }),
])
export type ClientMessage = Static<typeof ClientMessage>

/** What the server sends. Whoever sees an unknown kind ignores it. */
export const ServerMessage = Type.Union([
  /** First on every connection. */
  Type.Object({ kind: Type.Literal('hello'), now: Timestamp }),
  Type.Object({ kind: Type.Literal('watching'), courseId: Id }),
  /** With the state as it stands, so that nothing that happened before the watch is missed. */
  Type.Object({ kind: Type.Literal('watching-submission'), submission: SubmissionSummary }),
  /** A client message that was not obeyed; `code` is one of `/api/problems`. */
  Type.Object({ kind: Type.Literal('refused'), code: Type.String(), detail: Type.String() }),
  Type.Object({ kind: Type.Literal('submission-received'), submission: SubmissionSummary }),
  Type.Object({
    kind: Type.Literal('submission-running'),
    submissionId: Id,
    courseId: Id,
    exerciseId: Id,
    studentId: Id,
    progress: nullable(Progress),
  }),
  /** Every few seconds for a submission that is watched and waits. */
  Type.Object({ kind: Type.Literal('submission-waiting'), submissionId: Id, wait: Wait }),
  /** Also for `unreadable`, and when a written answer was marked; the report is fetched with `GET /api/submissions/:submissionId`. */
  Type.Object({ kind: Type.Literal('submission-graded'), submission: SubmissionSummary }),
  Type.Object({ kind: Type.Literal('submission-fault'), submission: SubmissionSummary }),
  Type.Object({ kind: Type.Literal('review-changed'), submissionId: Id, courseId: Id, state: ReviewState }),
  Type.Object({ kind: Type.Literal('note-added'), courseId: Id, note: Note }),
  /** Notes on it were released: fetch them anew. */
  Type.Object({ kind: Type.Literal('notes-released'), submissionId: Id, courseId: Id }),
  /** It is fetched with `GET /api/submissions/:submissionId/diagnosis`; also when the search gave up. */
  Type.Object({ kind: Type.Literal('diagnosis-ready'), submissionId: Id, courseId: Id }),
  Type.Object({ kind: Type.Literal('exercise-changed'), courseId: Id, exerciseId: Id }),
  Type.Object({ kind: Type.Literal('members-changed'), courseId: Id }),
  /** Events may have been missed (the listener was reconnected): fetch anew what is on the page. */
  Type.Object({ kind: Type.Literal('refetch') }),
])
export type ServerMessage = Static<typeof ServerMessage>
