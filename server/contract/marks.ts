import Type, { type Static } from 'typebox'
import { Id, nullable, Person } from './value.ts'

/** The best score of each student for each exercise. A student is answered one row: their own. */
export const Marks = Type.Object({
  courseId: Id,
  exercises: Type.Array(Type.Object({ id: Id, code: Type.String(), title: Type.String(), outOf: Type.Number() })),
  rows: Type.Array(
    Type.Object({
      student: Person,
      userName: Type.String(),
      /** In the order of `exercises`; null when nothing was graded. */
      scores: Type.Array(nullable(Type.Number())),
      late: Type.Array(Type.Boolean()),
      /** Mean over all published exercises, missing ones counted as 0; two places. */
      total: Type.Number(),
    }),
  ),
})
export type Marks = Static<typeof Marks>
