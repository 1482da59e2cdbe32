import Type, { type Static } from 'typebox'
import { Board } from './boards.ts'
import { ExerciseDocument } from './exercises.ts'
import { ProgramFormat, Report, SubmissionSummary } from './submissions.ts'
import { nullable } from './value.ts'

/**
 * What a browser needs to run a submission again with core, and so to show its trace: the text handed in, the board,
 * and the exercise document of the revision it was graded against. A student's document holds no hidden case.
 */
export const Trace = Type.Object({
  submission: SubmissionSummary,
  program: Type.Object({ format: ProgramFormat, text: Type.String() }),
  board: Board,
  exercise: ExerciseDocument,
  /** Decides drawn values and unused RAM of this student's runs: the last argument of core's `runRequestFor`. */
  seed: Type.Integer(),
  /** Instances of cases (`caseInstances` of core) in the order of the document; the first one listed is what a trace opens at when nothing went wrong. */
  cases: Type.Array(Type.Object({ id: Type.String(), title: Type.String(), isVisible: Type.Boolean() })),
  report: nullable(Report),
  /** The model answer to run beside it: for staff, and for students where the exercise says `compare: students`. */
  model: nullable(Type.Object({ format: ProgramFormat, text: Type.String() })),
})
export type Trace = Static<typeof Trace>
