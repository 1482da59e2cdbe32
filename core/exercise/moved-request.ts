import type { Program } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { RunRequest } from '../run/index.ts'
import { runRequestFor, type RunnableExercise } from './request.ts'
import type { StartNumber } from './start-values.ts'

/**
 * What to run for one case when every byte of the program and its entry stand `by` addresses further up: as
 * `runRequestFor`, without watching writes. Addresses wrap at 64 K.
 */
export function movedRequest(
  exercise: RunnableExercise,
  profile: BoardProfile,
  program: Program,
  caseId: string,
  by: number,
  start?: StartNumber,
): RunRequest {
  const { id, given, cases, budget, events, constants } = exercise
  const segments = program.image.segments.map(({ start, bytes }) => ({ start: (start + by) & 0xffff, bytes }))
  const entry = ((exercise.program.entry ?? program.entry) + by) & 0xffff
  const moved = { id, given, cases, budget, events, constants, program: { ...exercise.program, entry } }
  return runRequestFor(moved, profile, { ...program, image: { segments } }, caseId, 0, start)
}
