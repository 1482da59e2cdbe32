import type { ReadOptions } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import { symbolsOf } from './constants.ts'
import type { Exercise } from './exercise.ts'
import { allowedFor, reservedFor, type PlacedExercise } from './program-place.ts'

/** Where a hand-in is placed and may stand, which names it may use, and how long it may be. */
export function readOptionsFor(exercise: PlacedExercise, profile: BoardProfile): ReadOptions {
  const { origin, maxBytes, constants } = exercise.program
  const routines = profile.firmware.routines.map(({ name, address }) => [name, address] as const)
  return {
    origin: origin ?? profile.layout.program,
    symbols: { ...Object.fromEntries(routines), ...constants },
    allowed: allowedFor(exercise, profile),
    reserved: reservedFor(exercise, profile),
    maxBytes,
  }
}

/** The same for the model answer and other answers of staff: they may name the exercise's constants too. */
export function staffReadOptionsFor(
  exercise: PlacedExercise & Pick<Exercise, 'constants'>,
  profile: BoardProfile,
): ReadOptions {
  const options = readOptionsFor(exercise, profile)
  return { ...options, symbols: { ...options.symbols, ...symbolsOf(exercise.constants) } }
}
