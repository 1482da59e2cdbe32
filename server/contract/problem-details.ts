import Type, { type Static } from 'typebox'
import { nullable } from './value.ts'

/** One fault of several: where it stands and what is wrong there. */
export const Fault = Type.Object({
  /** JSON pointer into the request (`/userName`), or into the exercise document (`/cases/0/given`). */
  pointer: Type.String(),
  message: Type.String(),
  /** Stable kebab-case name, where there is one. */
  code: Type.Optional(Type.String()),
  /** Position in a text that was sent (an exercise document); both count from 1. */
  line: Type.Optional(Type.Integer()),
  column: Type.Optional(Type.Integer()),
})
export type Fault = Static<typeof Fault>

/** Body of every answer from 400 up, `application/problem+json` (RFC 9457). */
export const ProblemDetails = Type.Object({
  /** `/api/problems#exercise-closed`: the list there explains the code. */
  type: Type.String(),
  /** Stable; what a program should look at. */
  code: Type.String(),
  title: Type.String(),
  status: Type.Integer(),
  /** A sentence about this very case. */
  detail: Type.String(),
  /** Request id; quote it when asking the operator. */
  instance: Type.String(),
  errors: Type.Optional(Type.Array(Fault)),
  /** Seconds after which the same request may succeed, as in the header Retry-After. */
  retryAfter: Type.Optional(Type.Integer()),
})
export type ProblemDetails = Static<typeof ProblemDetails>

export const ProblemKind = Type.Object({
  code: Type.String(),
  status: Type.Integer(),
  title: Type.String(),
  explanation: Type.String(),
})
export type ProblemKind = Static<typeof ProblemKind>

export const ProblemList = Type.Object({ problems: Type.Array(ProblemKind) })
export type ProblemList = Static<typeof ProblemList>

/** For whoever looks whether to restart a process (live) or to send it requests (ready). */
export const Probe = Type.Object({ status: Type.Enum(['ok', 'degraded']) })
export type Probe = Static<typeof Probe>

export const Health = Type.Object({
  /** `degraded`: the database does not answer (503), or no grader is running (200: hand-ins are taken all the same). */
  status: Type.Enum(['ok', 'degraded']),
  version: Type.String(),
  /** Version of the grading engine. */
  engine: Type.String(),
  database: Type.Enum(['embedded', 'postgresql']),
  /** Submissions that wait for a grader; null when the database does not answer. */
  waiting: nullable(Type.Integer()),
  /** Grader threads that gave a sign of life in the last twenty seconds, of all processes; null as above. With 0 nothing is graded. */
  graderThreads: nullable(Type.Integer()),
})
export type Health = Static<typeof Health>
