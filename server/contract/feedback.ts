import Type, { type Static } from 'typebox'
import { nullable } from './value.ts'

/** What a message is for: the score, measured against wanted, a rule of the task, a concept, a mistake, the next step, a question to oneself. */
export const FeedbackKind = Type.Enum(['result', 'gap', 'task-rule', 'concept', 'mistake', 'how-to-go-on', 'reflect'])
export type FeedbackKind = Static<typeof FeedbackKind>

/** A kind, or the id of one message. */
const MessageName = Type.String({ pattern: '^[a-z][A-Za-z0-9.:-]{0,79}$' })

export const FeedbackMessage = Type.Object({
  /** `kind.name`: `gap.sum`, `mistake.carry-lost`. */
  id: Type.String(),
  kind: FeedbackKind,
  text: Type.String(),
  checkId: nullable(Type.String()),
  causeId: nullable(Type.String()),
  /** Where in a run it shows. */
  at: nullable(
    Type.Object({ caseId: Type.String(), step: Type.Integer(), t: Type.Integer(), address: Type.Integer() }),
  ),
})
export type FeedbackMessage = Static<typeof FeedbackMessage>

/** What an instructor changed: core's settings of an exercise, which a course has too. */
export const FeedbackSettings = Type.Object(
  {
    /** Kinds in the order in which they are shown, those left out last; null leaves it as it was. */
    order: nullable(Type.Array(FeedbackKind, { minItems: 1, maxItems: 7, uniqueItems: true })),
    /** Kinds or single messages that are not shown. */
    off: Type.Array(MessageName, { maxItems: 100, uniqueItems: true }),
    /** Other words for single messages, by their ids. */
    texts: Type.Record(MessageName, Type.String({ minLength: 1, maxLength: 1000 }), { maxProperties: 200 }),
  },
  { additionalProperties: false },
)
export type FeedbackSettings = Static<typeof FeedbackSettings>

/** Answer of `GET` and body of `PUT /api/courses/:courseId/feedback`. */
export const CourseFeedback = Type.Object({ settings: FeedbackSettings }, { additionalProperties: false })
export type CourseFeedback = Static<typeof CourseFeedback>

/** Answer of `GET /api/exercises/:exerciseId/feedback`: a later level wins over an earlier one; what one switches off stays off. */
export const ExerciseFeedback = Type.Object({
  course: FeedbackSettings,
  /** Of the exercise document. */
  document: FeedbackSettings,
  /** Of the exercise in this course; what `PUT` replaces. */
  settings: FeedbackSettings,
  /** All three together. */
  inForce: FeedbackSettings,
})
export type ExerciseFeedback = Static<typeof ExerciseFeedback>
