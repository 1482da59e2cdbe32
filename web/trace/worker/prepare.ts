import { type Program, type ReadOptions, readProgram } from '../../../core/assembler/index.ts'
import {
  type Exercise,
  type RunnableExercise,
  caseInstances,
  exerciseFor,
  readOptionsFor,
  runRequestFor,
  staffReadOptionsFor,
} from '../../../core/exercise/index.ts'
import type { RunRequest } from '../../../core/run/index.ts'
import type { TraceFailure, TraceSubject } from './protocol.ts'

/** A hand-in that can be run: read, and its case found. */
export interface Prepared {
  readonly program: Program
  readonly request: RunRequest
  /** How its text was read. */
  readonly options: ReadOptions
}

/** Reads the program and finds the case as the grader did; a program with mistakes is refused with all of them. */
export function prepare(subject: TraceSubject): Prepared | TraceFailure {
  const { board, caseId } = subject
  // The server has read the document with core; a student is sent a view of it that has these parts and no checks.
  const exercise = subject.exercise as RunnableExercise
  const { format, text } = subject
  // A student's document has the constants of that student in place already, and no model answer.
  const own = 'model' in exercise ? exerciseFor(exercise as Exercise, subject.seed) : exercise
  const isStaffAnswer = subject.isStaffAnswer === true
  const options = isStaffAnswer ? staffReadOptionsFor(own, board) : readOptionsFor(own, board)
  const program = readProgram({ format, text }, options)
  if (!program.isOk) return { kind: 'unreadable', problems: program.problems }
  if (!caseInstances(exercise).some((each) => each.id === caseId)) return { kind: 'no-such-case', caseId }
  return { program, options, request: runRequestFor(exercise, board, program, caseId, subject.seed, subject.start) }
}
