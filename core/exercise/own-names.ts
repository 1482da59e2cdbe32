import { showWord } from '../image/index.ts'
import { symbolsOf } from './constants.ts'
import { exerciseFor } from './exercise-for.ts'
import type { Exercise, ProgramText } from './exercise.ts'

/**
 * An answer that names the exercise's constants, as the student with this seed would hand it in: EQU lines with their
 * values at its end, where they move no line of the program. Anything but assembly, and an exercise without constants,
 * leave it as it is.
 */
export function withOwnNames(source: ProgramText, exercise: Exercise, seed: number): ProgramText {
  const names = Object.entries(symbolsOf(exerciseFor(exercise, seed).constants))
  if (source.format !== 'assembly' || names.length === 0) return source
  const lines = names.map(([name, value]) => `${name.toUpperCase()} EQU ${showWord(value)}\n`)
  const end = source.text === '' || source.text.endsWith('\n') ? '' : '\n'
  return { ...source, text: `${source.text}${end}${lines.join('')}` }
}
