import Type, { type Static } from 'typebox'
import { ReviewState, SubmissionSummary } from './submissions.ts'
import { CourseRole, Id, nullable, Person, Timestamp } from './value.ts'

/** The newest submission of a student to an exercise that needs a look and is not settled. */
export const ReviewItem = Type.Object({
  submission: SubmissionSummary,
  reason: Type.Enum(['failing', 'to-mark', 'unreadable', 'grader-fault', 'held']),
  /** Titles of the checks that were not passed, in the order of the report. */
  failed: Type.Array(Type.Object({ checkId: Type.String(), title: Type.String(), outcome: Type.String() })),
  firstWrong: nullable(Type.Object({ caseId: Type.String(), step: Type.Integer(), checkId: Type.String() })),
})
export type ReviewItem = Static<typeof ReviewItem>

/** Paged, oldest first. */
export const ReviewQueue = Type.Object({
  items: Type.Array(ReviewItem),
  next: nullable(Type.String()),
  total: Type.Integer(),
})
export type ReviewQueue = Static<typeof ReviewQueue>

/** Body of `PUT /api/submissions/:submissionId/review`. */
export const ReviewPut = Type.Object(
  { state: Type.Enum(['open', 'held', 'settled']), note: Type.Optional(Type.String({ maxLength: 4000 })) },
  { additionalProperties: false },
)
export type ReviewPut = Static<typeof ReviewPut>

export const Review = Type.Object({
  submissionId: Id,
  state: ReviewState,
  note: nullable(Type.String()),
  by: nullable(Person),
  at: nullable(Timestamp),
})
export type Review = Static<typeof Review>

/** An address of the trace page without its beginning: which lanes, which stretch, which step. Opaque to the server. */
const View = Type.String({ minLength: 1, maxLength: 600, pattern: '^[A-Za-z0-9=&%._~:,+-]*$' })
const Step = Type.Integer({ minimum: 0, maximum: 2_147_483_647 })

/**
 * Body of `POST /api/submissions/:submissionId/notes`. Without case and step the note is about the whole; with `toStep`
 * it is about the stretch `step` to `toStep`, both included. `text` may be left out when a saved answer is used.
 */
export const NewNote = Type.Object(
  {
    text: Type.Optional(Type.String({ minLength: 1, maxLength: 4000 })),
    /** Counts a use of it; its text is taken where `text` is left out. */
    savedAnswerId: Type.Optional(Id),
    caseId: Type.Optional(nullable(Type.String({ maxLength: 80 }))),
    step: Type.Optional(nullable(Step)),
    toStep: Type.Optional(nullable(Step)),
    view: Type.Optional(nullable(View)),
    /** Shown to the student at once; false unless given: then `release` does it later. */
    isReleased: Type.Optional(Type.Boolean()),
  },
  { additionalProperties: false },
)
export type NewNote = Static<typeof NewNote>

/** Body of `POST /api/submissions/:submissionId/notes/:noteId/replies`: by staff, and by the student to a released note. */
export const NewReply = Type.Object(
  { text: Type.String({ minLength: 1, maxLength: 4000 }) },
  { additionalProperties: false },
)
export type NewReply = Static<typeof NewReply>

export const Note = Type.Object({
  id: Id,
  submissionId: Id,
  author: Person,
  authorRole: CourseRole,
  caseId: nullable(Type.String()),
  step: nullable(Type.Integer()),
  /** Last step of the stretch; null for a single step. */
  toStep: nullable(Type.Integer()),
  /** Opens the view that its author had: `/submissions/:submissionId/trace?` and this. */
  view: nullable(Type.String()),
  text: Type.String(),
  /** The note that this one answers: the first of its thread; null for a first one. */
  replyTo: nullable(Id),
  /** A reply is seen by whoever sees the first note of its thread. */
  isReleased: Type.Boolean(),
  savedAnswerId: nullable(Id),
  createdAt: Timestamp,
})
export type Note = Static<typeof Note>

/** Oldest first, replies among them. A student gets released threads only. */
export const NoteList = Type.Object({ notes: Type.Array(Note) })
export type NoteList = Static<typeof NoteList>

export const NoteParams = Type.Object({ submissionId: Id, noteId: Id })
export type NoteParams = Static<typeof NoteParams>
