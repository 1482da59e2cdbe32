export { collectProblems, documentProblem, mostTold, nearestSpelling, pathText, placeProblems } from './problem.ts'
export type { DocumentProblem, Path, Report } from './problem.ts'
export { choice, dictionary, flag, isFields, list, name, number, scalar, text } from './schema.ts'
export type { Json, JsonSchema, Read, Schema } from './schema.ts'
export { either, isObjectSchema, object, optional, required } from './object.ts'
export type { Field, Fields, ObjectSchema, ReadFields } from './object.ts'
export {
  byte,
  bytes,
  distanceOf,
  duration,
  tolerance,
  toleranceText,
  tStatesOf,
  whole,
  wholeNumber,
  word,
} from './quantity.ts'
export type { Amount, Unit } from './quantity.ts'
