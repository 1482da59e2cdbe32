import Type, { type Static } from 'typebox'
import type { Report as GradingReport } from '../../core/grading/index.ts'
import { DiagnosisState } from './diagnosis.ts'
import { Digest, Id, nullable, Person, Timestamp } from './value.ts'

export const ProgramFormat = Type.Enum(['hex', 'intel-hex', 'assembly'])
export type ProgramFormat = Static<typeof ProgramFormat>

/**
 * `waiting` for a grader, `running`, then one of three ends: `graded`; `unreadable` (the text is no program; the report
 * says where); `grader-fault` (the grader failed several times; staff are shown it and nothing is lost).
 */
export const SubmissionState = Type.Enum(['waiting', 'running', 'graded', 'unreadable', 'grader-fault'])
export type SubmissionState = Static<typeof SubmissionState>

export const ReviewState = Type.Enum(['none', 'open', 'held', 'settled'])
export type ReviewState = Static<typeof ReviewState>

/** Core's report as the reader's role may see it: a student's holds no data of hidden checks. */
export const Report = Type.Unsafe<GradingReport>(
  Type.Object(
    { format: Type.Literal('hexcairn-report/1'), status: Type.String(), score: Type.Number() },
    { additionalProperties: true },
  ),
)
export type Report = GradingReport

/** Body of `POST /api/exercises/:exerciseId/submissions`; headers `Prefer: wait=10` and `Idempotency-Key` are heard. */
export const NewSubmission = Type.Object(
  {
    format: ProgramFormat,
    text: Type.String(),
    /** Answers in words by the id of their question. */
    answers: Type.Optional(Type.Record(Type.String({ maxLength: 40 }), Type.String(), { maxProperties: 6 })),
  },
  { additionalProperties: false },
)
export type NewSubmission = Static<typeof NewSubmission>

/** What proves that a hand-in was accepted: who can show number, time and digest can show the text. */
export const Receipt = Type.Object({
  /** Counts a student's submissions to one exercise, from 1. */
  number: Type.Integer(),
  receivedAt: Timestamp,
  /** SHA-256 of the text as UTF-8. */
  digest: Digest,
  isLate: Type.Boolean(),
})
export type Receipt = Static<typeof Receipt>

export const SubmissionSummary = Type.Object({
  id: Id,
  courseId: Id,
  exerciseId: Id,
  exerciseCode: Type.String(),
  exerciseTitle: Type.String(),
  student: Person,
  format: ProgramFormat,
  receipt: Receipt,
  state: SubmissionState,
  /** 0 to 100: what the checks gave, and what people gave for written answers; null until graded. */
  score: nullable(Type.Number()),
  isFullMarks: Type.Boolean(),
  gradedAt: nullable(Timestamp),
  review: ReviewState,
  /** Notes and replies that the student may see. */
  notes: Type.Integer(),
  /** Whether the search for causes has ended. */
  diagnosis: DiagnosisState,
  /** Written answers that nobody has marked yet. */
  toMark: Type.Integer(),
})
export type SubmissionSummary = Static<typeof SubmissionSummary>

/** How far a running submission is. */
export const Progress = Type.Object({ casesDone: Type.Integer(), cases: Type.Integer() })
export type Progress = Static<typeof Progress>

/** A question answered in words, and what staff gave for it. */
export const WrittenAnswer = Type.Object({
  questionId: Id,
  ask: Type.String(),
  outOf: Type.Number(),
  /** Empty where nothing was written: that gets no marks and needs none given. */
  text: Type.String(),
  /** Null until it is marked. */
  marks: nullable(Type.Number()),
  remark: nullable(Type.String()),
  markedBy: nullable(Person),
  markedAt: nullable(Timestamp),
  /** What its marks are for; null for a student until it is marked. */
  rubric: nullable(Type.Array(Type.Object({ marks: Type.Number(), for: Type.String(), isMet: Type.Boolean() }))),
  /** An answer that gets all marks; null for students. */
  sample: nullable(Type.String()),
})
export type WrittenAnswer = Static<typeof WrittenAnswer>

/** Body of `PUT /api/submissions/:submissionId/written/:questionId`. */
export const WrittenMarking = Type.Object(
  {
    /** Places in the rubric, from 0, of the points that the answer makes. */
    points: Type.Array(Type.Integer({ minimum: 0, maximum: 7 }), { maxItems: 8, uniqueItems: true }),
    /** In place of the sum of the points. */
    marks: Type.Optional(nullable(Type.Number({ minimum: 0, maximum: 100 }))),
    remark: Type.Optional(nullable(Type.String({ maxLength: 1000 }))),
  },
  { additionalProperties: false },
)
export type WrittenMarking = Static<typeof WrittenMarking>

export const WrittenParams = Type.Object({ submissionId: Id, questionId: Id })
export type WrittenParams = Static<typeof WrittenParams>

/** Where a hand-in that waits stands: graders go round by course and student, so others may come before it or after. */
export const Wait = Type.Object({
  /** Hand-ins that are taken before this one, 0 when it is next. */
  ahead: Type.Integer(),
  /** Until its report, by how long the last ones took; null while no grader is running. */
  expectedSeconds: nullable(Type.Integer()),
  /** Some grader has given a sign of life in the last twenty seconds. */
  isGraderLive: Type.Boolean(),
})
export type Wait = Static<typeof Wait>

export const Submission = Type.Object({
  ...SubmissionSummary.properties,
  text: Type.String(),
  /** Revision of the exercise that it is graded against. */
  exerciseRevision: Type.Integer(),
  report: nullable(Report),
  /** One for each question of the exercise. */
  written: Type.Array(WrittenAnswer),
  /** Where it stands in the queue; null unless waiting. */
  wait: nullable(Wait),
  /** What staff wrote for each other when they held or settled it; null for students. */
  reviewNote: nullable(Type.String()),
  /** Notes that the student does not see yet; null for students. */
  heldNotes: nullable(Type.Integer()),
  /** Hints the student had taken, with what they answered before. */
  hintsTaken: Type.Array(Type.Object({ number: Type.Integer(), answer: Type.String(), takenAt: Timestamp })),
})
export type Submission = Static<typeof Submission>

export const SubmissionPage = Type.Object({ items: Type.Array(SubmissionSummary), next: nullable(Type.String()) })
export type SubmissionPage = Static<typeof SubmissionPage>

/** Query of the list: a student sees own submissions whatever it says; staff may ask for one student's. */
export const SubmissionQuery = Type.Object(
  {
    after: Type.Optional(Type.String({ maxLength: 100 })),
    limit: Type.Optional(Type.String({ pattern: '^[1-9][0-9]{0,2}$' })),
    studentId: Type.Optional(Id),
  },
  { additionalProperties: false },
)
export type SubmissionQuery = Static<typeof SubmissionQuery>

export const SubmissionParams = Type.Object({ submissionId: Id })
export type SubmissionParams = Static<typeof SubmissionParams>
