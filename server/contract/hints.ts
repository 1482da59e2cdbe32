import Type, { type Static } from 'typebox'
import { Id, nullable, Timestamp } from './value.ts'

/** One rung of an exercise's ladder of hints as its reader has climbed it. */
export const Hint = Type.Object({
  /** Counts from 1, in the order of the ladder. */
  number: Type.Integer(),
  rung: Type.Enum(['point', 'concept', 'nearly']),
  /** The question that is answered before the hint is told. */
  ask: Type.String(),
  /** Null until it was answered. */
  say: nullable(Type.String()),
  answer: nullable(Type.String()),
  takenAt: nullable(Timestamp),
  /** Number of the hint that has to be taken first; null when this one may be taken. */
  needs: nullable(Type.Integer()),
  /** Offered when one of these checks failed; always when there is none. */
  checks: Type.Array(Type.String()),
})
export type Hint = Static<typeof Hint>

/** Answer of `GET /api/exercises/:exerciseId/hints`: the reader's own ladder. */
export const HintLadder = Type.Object({ hints: Type.Array(Hint) })
export type HintLadder = Static<typeof HintLadder>

/** Body of `POST /api/exercises/:exerciseId/hints/:rung`; white space at the ends does not count. */
export const HintAnswer = Type.Object(
  { answer: Type.String({ minLength: 15, maxLength: 1000 }) },
  { additionalProperties: false },
)
export type HintAnswer = Static<typeof HintAnswer>

/** `rung` is the number of the hint, from 1. */
export const HintParams = Type.Object({ exerciseId: Id, rung: Type.String({ pattern: '^[1-9][0-9]?$' }) })
export type HintParams = Static<typeof HintParams>
