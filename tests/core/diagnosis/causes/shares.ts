import type { Program } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import { diagnose, type Cause } from '../../../../core/diagnosis/index.ts'
import type { Exercise } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'

/** A hand-in whose cause is known, and what was found. */
export interface Found {
  readonly expected: string
  /** 0 is first; -1 not among them. */
  readonly place: number
  readonly causes: readonly Cause[]
}

export function findFor(program: Program, exercise: Exercise, expected: string): Found {
  const report = gradeProgram(program, exercise, benchEight)
  const { causes } = diagnose(program, exercise, benchEight, report)
  return { expected, place: causes.findIndex(({ id }) => id === expected), causes }
}

/** Parts of all in which the right cause stands first, and among the first three. */
export function sharesOf(found: readonly Pick<Found, 'place'>[]): { readonly first: number; readonly three: number } {
  const part = (most: number): number => found.filter(({ place }) => place >= 0 && place < most).length / found.length
  return { first: part(1), three: part(3) }
}
