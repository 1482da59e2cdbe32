import Type, { type Static } from 'typebox'
import { ReviewState, SubmissionSummary } from './submissions.ts'
import { CourseRole, Id, nullable, Person, Timestamp } from './value.ts'

/** The newest submission of a student to an exercise that needs a look and is not settled. */
export const ReviewItem = Type.Object({
  submission: SubmissionSummary,
  reason: Type.Enum(['failing', 'unreadable', 'grader-fault', 'held']),
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

/** Body of `POST /api/submissions/:submissionId/notes`. Without case and step the note is about the whole. */
export const NewNote = Type.Object(
  {
    text: Type.String({ minLength: 1, maxLength: 4000 }),
    caseId: Type.Optional(nullable(Type.String({ maxLength: 80 }))),
    step: Type.Optional(nullable(Type.Integer({ minimum: 0, maximum: 2_147_483_647 }))),
  },
  { additionalProperties: false },
)
export type NewNote = Static<typeof NewNote>

export const Note = Type.Object({
  id: Id,
  submissionId: Id,
  author: Person,
  authorRole: CourseRole,
  caseId: nullable(Type.String()),
  step: nullable(Type.Integer()),
  text: Type.String(),
  createdAt: Timestamp,
})
export type Note = Static<typeof Note>

export const NoteList = Type.Object({ notes: Type.Array(Note) })
export type NoteList = Static<typeof NoteList>
