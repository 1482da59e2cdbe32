import Type, { type Static } from 'typebox'
import type { Exercise as CoreExercise, StudentView } from '../../core/exercise/index.ts'
import { SubmissionState } from './submissions.ts'
import { Digest, Id, nullable, Person, Timestamp } from './value.ts'

/** Draft: not published. Scheduled: published, opens later. Late window: after the due time, still accepted. */
export const ExerciseState = Type.Enum(['draft', 'scheduled', 'open', 'late-window', 'closed'])
export type ExerciseState = Static<typeof ExerciseState>

/**
 * The exercise document as core read it (`format` is `hexcairn-exercise/1`). Students get core's student view of it
 * (`hexcairn-exercise-view/1`): no model answer, of hidden cases and checks no data.
 */
export const ExerciseDocument = Type.Unsafe<CoreExercise | StudentView>(
  Type.Object({ format: Type.String(), id: Type.String() }, { additionalProperties: true }),
)
export type ExerciseDocument = CoreExercise | StudentView

/** How a student stands with one exercise. */
export const Standing = Type.Object({
  attempts: Type.Integer(),
  /** State of the newest submission; null when nothing was handed in. */
  state: nullable(SubmissionState),
  bestScore: nullable(Type.Number()),
  lastReceivedAt: nullable(Timestamp),
  lastSubmissionId: nullable(Id),
})
export type Standing = Static<typeof Standing>

export const ExerciseSummary = Type.Object({
  id: Id,
  courseId: Id,
  /** Id of the document: `A1`. Unique within a course. */
  code: Type.String(),
  title: Type.String(),
  summary: Type.String(),
  order: Type.Integer(),
  state: ExerciseState,
  isPublished: Type.Boolean(),
  /** Null: from the moment it is published. */
  opensAt: nullable(Timestamp),
  /** Null: never due. */
  dueAt: nullable(Timestamp),
  /** End of the late window; null: closes when it is due, or never when it is never due. */
  closesAt: nullable(Timestamp),
  boardId: Type.String(),
  /** Hand-ins a student has, those that could not be read not counted; null: as many as they like. */
  mostTries: nullable(Type.Integer()),
  /** Seconds between two hand-ins of a student; null: none. */
  pauseSeconds: nullable(Type.Integer()),
  /** The reader has more time than others; `dueAt` and `closesAt` are then their own. */
  isExtended: Type.Boolean(),
  /** The reader's own standing; null for staff. */
  standing: nullable(Standing),
  /** Counts for staff; null for a student. */
  counts: nullable(
    Type.Object({
      handedIn: Type.Integer(),
      fullMarks: Type.Integer(),
      waiting: Type.Integer(),
      students: Type.Integer(),
    }),
  ),
})
export type ExerciseSummary = Static<typeof ExerciseSummary>

export const ExerciseList = Type.Object({ exercises: Type.Array(ExerciseSummary) })
export type ExerciseList = Static<typeof ExerciseList>

export const Exercise = Type.Object({
  ...ExerciseSummary.properties,
  revision: Type.Integer(),
  digest: Digest,
  document: ExerciseDocument,
  /** The YAML text as the instructor wrote it; null for students. */
  source: nullable(Type.String()),
})
export type Exercise = Static<typeof Exercise>

const times = {
  isPublished: Type.Optional(Type.Boolean()),
  opensAt: Type.Optional(nullable(Timestamp)),
  dueAt: Type.Optional(nullable(Timestamp)),
  closesAt: Type.Optional(nullable(Timestamp)),
  order: Type.Optional(Type.Integer({ minimum: 0, maximum: 10_000 })),
  mostTries: Type.Optional(nullable(Type.Integer({ minimum: 1, maximum: 1000 }))),
  pauseSeconds: Type.Optional(nullable(Type.Integer({ minimum: 1, maximum: 604_800 }))),
}
const Source = Type.String({ minLength: 1, maxLength: 262_144 })

/** Body of `POST /api/courses/:courseId/exercises`; a wrong document is answered 422 with line and pointer of each fault. */
export const NewExercise = Type.Object({ source: Source, ...times }, { additionalProperties: false })
export type NewExercise = Static<typeof NewExercise>

/** Body of `PUT /api/exercises/:exerciseId`: a new revision. `revision` is the one that was edited (409 if it is not the newest). */
export const ExerciseRevisionText = Type.Object(
  { source: Source, revision: Type.Integer({ minimum: 1 }) },
  { additionalProperties: false },
)
export type ExerciseRevisionText = Static<typeof ExerciseRevisionText>

/** Body of `PATCH /api/exercises/:exerciseId`: times and publication; what is left out stays, null takes a time away. */
export const ExercisePatch = Type.Object(times, { additionalProperties: false, minProperties: 1 })
export type ExercisePatch = Static<typeof ExercisePatch>

export const RevisionList = Type.Object({
  revisions: Type.Array(
    Type.Object({ number: Type.Integer(), digest: Digest, createdAt: Timestamp, createdBy: Person }),
  ),
})
export type RevisionList = Static<typeof RevisionList>

/** More time for one student; for staff. */
export const Extension = Type.Object({
  student: Person,
  dueAt: Timestamp,
  /** End of the late window; null: closes when it is due. */
  closesAt: nullable(Timestamp),
  reason: Type.String(),
  by: Person,
  createdAt: Timestamp,
})
export type Extension = Static<typeof Extension>

export const ExtensionList = Type.Object({ extensions: Type.Array(Extension) })
export type ExtensionList = Static<typeof ExtensionList>

/** Body of `PUT /api/exercises/:exerciseId/extensions/:userId`. */
export const NewExtension = Type.Object(
  { dueAt: Timestamp, closesAt: nullable(Timestamp), reason: Type.String({ maxLength: 200 }) },
  { additionalProperties: false },
)
export type NewExtension = Static<typeof NewExtension>

export const ExtensionParams = Type.Object({ exerciseId: Id, userId: Id })
export type ExtensionParams = Static<typeof ExtensionParams>

export const ExerciseParams = Type.Object({ exerciseId: Id })
export type ExerciseParams = Static<typeof ExerciseParams>
