import { readProgram } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import { exerciseFor, staffReadOptionsFor, type Exercise } from '../exercise/index.ts'
import { wordDigits } from '../image/index.ts'
import { gradeProgram } from './grade.ts'

/** What a program that does nothing would get. */
export interface DoNothing {
  /** It ends at once, as the exercise wants a program to end; or it never does. */
  readonly what: 'ends' | 'loops'
  readonly marks: number
  /** Checks that it passes and gets marks for. */
  readonly earning: readonly { readonly id: string; readonly title: string; readonly marks: number }[]
}

/**
 * Grades two programs that do nothing: a lone HALT (RET where the exercise has a routine), and an empty loop. Marks that
 * either gets are a gift: the exercise's checks or their groups let it pass.
 */
export function doNothingScore(written: Exercise, profile: BoardProfile, seed = 0): readonly DoNothing[] {
  const exercise = exerciseFor(written, seed)
  const options = staffReadOptionsFor(exercise, profile)
  const origin = wordDigits(exercise.program.entry ?? options.origin)
  const end = exercise.program.ends === 'halt' ? '76' : 'C9'
  const programs = [
    { what: 'ends', text: `${origin}: ${end}` },
    { what: 'loops', text: `${origin}: 18 FE` },
  ] as const
  return programs.map(({ what, text }): DoNothing => {
    const program = readProgram({ format: 'hex', text }, options)
    const report = gradeProgram(program, exercise, profile, { seed })
    const earning = report.checks.filter(({ marks }) => marks > 0)
    return { what, marks: report.score, earning: earning.map(({ id, title, marks }) => ({ id, title, marks })) }
  })
}
