import Type, { type Static } from 'typebox'
import { FeedbackKind, FeedbackMessage } from './feedback.ts'
import { Id, nullable } from './value.ts'

/**
 * `none`: nothing to look for (it passed, was not read, is not graded yet), or nobody has asked yet about a hand-in that
 * a later one replaced; `looking`: queued or being worked on;
 * `ready`; `failed`: the search gave up, the grade is not touched by it.
 */
export const DiagnosisState = Type.Enum(['none', 'looking', 'ready', 'failed'])
export type DiagnosisState = Static<typeof DiagnosisState>

/** Something that explains why checks failed, with where in which run it shows. */
export const Cause = Type.Object({
  /** Kebab-case id of the detector: `displacement-off`. */
  id: Type.String(),
  title: Type.String(),
  /** To the student: what was found and what should be. */
  message: Type.String(),
  caseId: nullable(Type.String()),
  step: nullable(Type.Integer()),
  t: nullable(Type.Integer()),
  /** Of the instruction. */
  address: nullable(Type.Integer()),
  /** Of the student's own text, from 1. */
  line: nullable(Type.Integer()),
  found: nullable(Type.String()),
  wanted: nullable(Type.String()),
  /** Id of a concept card, a key of `cards`. */
  card: nullable(Type.String()),
  checkIds: Type.Array(Type.String()),
  /** 0 to 1. */
  certainty: Type.Number(),
  /** Its evidence lies on a visible case and a visible check. Students are told no others. */
  isVisible: Type.Boolean(),
})
export type Cause = Static<typeof Cause>

/** An edit of the hand-in that makes it pass everything. */
export const Repair = Type.Object({
  /** `replace`, `insert`, `remove`, `swap` of bytes; or `operand`, `condition`, `register`, `form`, `order`, `dropped` of an instruction. */
  kind: Type.String(),
  at: Type.Integer(),
  line: nullable(Type.Integer()),
  found: Type.Array(Type.Integer()),
  wouldBe: Type.Array(Type.Integer()),
  instruction: Type.Object({ found: nullable(Type.String()), wouldBe: nullable(Type.String()) }),
})
export type Repair = Static<typeof Repair>

/** The smallest input found on which the program does something wrong. */
export const Counterexample = Type.Object({
  caseId: Type.String(),
  title: Type.String(),
  isVisible: Type.Boolean(),
  seed: Type.Integer(),
  /** `4600h: 7F 80`, `A = 05h`. */
  inputs: Type.Array(Type.String()),
  /** There is no smaller one. */
  isSmallest: Type.Boolean(),
  check: Type.Object({
    id: Type.String(),
    title: Type.String(),
    kind: Type.String(),
    isVisible: Type.Boolean(),
    measured: nullable(Type.String()),
    wanted: nullable(Type.String()),
    message: Type.String(),
  }),
})
export type Counterexample = Static<typeof Counterexample>

/** What a question about a run asks of; as core's `WhyTarget`. */
export const WhyTarget = Type.Union([
  Type.Object({ kind: Type.Literal('register'), register: Type.String() }),
  Type.Object({ kind: Type.Literal('flag'), flag: Type.String() }),
  Type.Object({ kind: Type.Literal('memory'), address: Type.Integer(), others: Type.Array(Type.Integer()) }),
  Type.Object({ kind: Type.Literal('port-write'), port: nullable(Type.Integer()) }),
  Type.Object({ kind: Type.Literal('time'), from: Type.Integer() }),
  Type.Object({ kind: Type.Literal('end') }),
])

/** A question that a failing check raises about its run: why a value is what it is, or why an address never ran. */
export const WhyQuestion = Type.Object({
  checkId: Type.String(),
  caseId: Type.String(),
  /** Asked as of the moment before this step; null beside `never`. */
  step: nullable(Type.Integer()),
  target: nullable(WhyTarget),
  /** The address that never ran; null beside `target`. */
  never: nullable(Type.Integer()),
})
export type WhyQuestion = Static<typeof WhyQuestion>

export const ConceptCard = Type.Object({ title: Type.String(), text: Type.String(), example: Type.String() })
export type ConceptCard = Static<typeof ConceptCard>

/**
 * Answer of `GET /api/submissions/:submissionId/diagnosis`: why a hand-in failed, as the reader may know it. A student is
 * told what shows on visible runs and checks alone.
 */
export const Diagnosis = Type.Object({
  submissionId: Id,
  state: DiagnosisState,
  /** Likeliest first. */
  causes: Type.Array(Cause),
  /** A sentence that narrows: `One byte between 4010h and 4017h is not what it should be.` Null where there is none or the exercise keeps it for staff. */
  hint: nullable(Type.String()),
  /** For staff, and for students where the exercise shows it. */
  repair: nullable(Repair),
  counterexample: nullable(Counterexample),
  /** At most one a check; to a student those about visible runs and checks. */
  questions: Type.Array(WhyQuestion),
  /** Ordered, worded and switched as course and exercise say. */
  feedback: Type.Array(FeedbackMessage),
  /** The order that course or exercise have set; null where they have set none. */
  order: nullable(Type.Array(FeedbackKind)),
  /** The concept cards that causes name. */
  cards: Type.Record(Type.String(), ConceptCard),
})
export type Diagnosis = Static<typeof Diagnosis>
