import Type, { type Static } from 'typebox'
import { ExerciseState, Standing } from './exercises.ts'
import { Id, nullable, Person, Timestamp } from './value.ts'

/** The class view: one row a student, one cell an exercise, in the order of `exercises`. */
export const ClassProgress = Type.Object({
  courseId: Id,
  now: Timestamp,
  exercises: Type.Array(
    Type.Object({
      id: Id,
      code: Type.String(),
      title: Type.String(),
      state: ExerciseState,
      dueAt: nullable(Timestamp),
      counts: Type.Object({ handedIn: Type.Integer(), fullMarks: Type.Integer(), waiting: Type.Integer() }),
    }),
  ),
  students: Type.Array(Type.Object({ student: Person, cells: Type.Array(Standing) })),
  totals: Type.Object({
    students: Type.Integer(),
    submissions: Type.Integer(),
    waiting: Type.Integer(),
    running: Type.Integer(),
    faults: Type.Integer(),
    toReview: Type.Integer(),
  }),
})
export type ClassProgress = Static<typeof ClassProgress>
