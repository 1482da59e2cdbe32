export { callsOfCase, placeOfCalls, type CallSite } from './calls.ts'
export type { CaseRun, Moment } from './case-run.ts'
export { boundariesOf, storedValue as drawnValue, type Boundary } from './boundaries.ts'
export { caseInstances, type CaseInstance } from './cases.ts'
export { checkFields } from './check-fields.ts'
export {
  nothingGiven,
  registerNames,
  type Call,
  type Draw,
  type ExerciseCase,
  type Given,
  type RegisterName,
} from './case.ts'
export type { Check } from './check-schema.ts'
export {
  partsOfRegister,
  placeOfRegister,
  registerAcceptance,
  registerText,
  registerValue,
} from './checks/registers.ts'
export { blockOf } from './checks/wanted-block.ts'
export type { WantedBytes } from './checks/wanted-bytes.ts'
export {
  checkKinds,
  endText,
  floodOf,
  floodText,
  kindNamed,
  type CheckKind,
  type Parts,
  type PreparedCheck,
  type Verdict,
  type WantedValue,
} from './checks/index.ts'
export { digestOfText } from './digest.ts'
export { drawsFrom, seedFrom, type Draws } from './draw.ts'
export type { Constant } from './constants.ts'
export { mostEvents, type Exercise, type ProgramText } from './exercise.ts'
export { restedOn } from './rests.ts'
export { exerciseFor } from './exercise-for.ts'
export {
  feedbackKinds,
  noFeedbackSettings,
  parseFeedbackSettings,
  type FeedbackKind,
  type FeedbackSettings,
} from './feedback.ts'
export { modelProgram } from './model.ts'
export { handlerVisits, type HandlerVisit } from './handler-visits.ts'
export { movedRequest } from './moved-request.ts'
export { withOwnNames } from './own-names.ts'
export { boardMisfits, formatOfFile, parseExercise, prepareCheck, type ParsedExercise } from './parse.ts'
export { runAfterCall } from './moment-of-run.ts'
export { openValues } from './open-values.ts'
export { longestAnswer, marksByHand, type Question, type StudentQuestion } from './question.ts'
export { exerciseDigest, exerciseJsonSchema, exerciseReference } from './reference.ts'
export { exampleDocument } from './reference-guide.ts'
export { modelRun } from './model-run.ts'
export { readOptionsFor, staffReadOptionsFor } from './read-options.ts'
export { callSiteOf, drawnAnew, mergedGiven, runRequestFor, type RunnableExercise } from './request.ts'
export {
  documentProblem,
  mostTold,
  placeProblems,
  type DocumentProblem,
  type JsonSchema,
  type Path,
} from './schema/index.ts'
export { otherStarts, sameStarts, startOfSame, usualStart, type StartNumber } from './start-values.ts'
export { studentView, type StudentCheck, type StudentHint, type StudentView } from './student-view.ts'
export { withMore, type MorePlain } from './with-more.ts'
