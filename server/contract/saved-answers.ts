import Type, { type Static } from 'typebox'
import { Id, nullable, Person, Timestamp } from './value.ts'

const Text = Type.String({ minLength: 1, maxLength: 4000 })
const CauseId = Type.String({ minLength: 1, maxLength: 60, pattern: '^[a-z][a-z0-9-]*$' })

/** A remark that staff of a course keep because it will be needed again. */
export const SavedAnswer = Type.Object({
  id: Id,
  courseId: Id,
  text: Type.String(),
  /** The cause it answers; null where it answers none in particular. */
  causeId: nullable(Type.String()),
  /** How often it was used in a note. */
  uses: Type.Integer(),
  lastUsedAt: nullable(Timestamp),
  createdBy: Person,
  createdAt: Timestamp,
})
export type SavedAnswer = Static<typeof SavedAnswer>

/** Most used first. */
export const SavedAnswerList = Type.Object({ answers: Type.Array(SavedAnswer) })
export type SavedAnswerList = Static<typeof SavedAnswerList>

/** Body of `POST /api/courses/:courseId/saved-answers`. */
export const NewSavedAnswer = Type.Object(
  { text: Text, causeId: Type.Optional(nullable(CauseId)) },
  { additionalProperties: false },
)
export type NewSavedAnswer = Static<typeof NewSavedAnswer>

/** Body of `PATCH /api/courses/:courseId/saved-answers/:answerId`. */
export const SavedAnswerPatch = Type.Object(
  { text: Type.Optional(Text), causeId: Type.Optional(nullable(CauseId)) },
  { additionalProperties: false, minProperties: 1 },
)
export type SavedAnswerPatch = Static<typeof SavedAnswerPatch>

export const SavedAnswerParams = Type.Object({ courseId: Id, answerId: Id })
export type SavedAnswerParams = Static<typeof SavedAnswerParams>
