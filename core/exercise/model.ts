import { readProgram, type Program } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Exercise } from './exercise.ts'
import { staffReadOptionsFor } from './read-options.ts'

const known = new WeakMap<Exercise, { readonly profile: BoardProfile; readonly program: Program }>()

/** The exercise's model answer, read; null where it has none or it cannot be read. Read once for each exercise. */
export function modelProgram(exercise: Exercise, profile: BoardProfile): Program | null {
  if (exercise.model === null) return null
  const before = known.get(exercise)
  if (before?.profile === profile) return before.program.isOk ? before.program : null
  const program = readProgram(exercise.model, staffReadOptionsFor(exercise, profile))
  known.set(exercise, { profile, program })
  return program.isOk ? program : null
}
