import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { parse } from 'yaml'
import {
  formatOfFile,
  parseExercise,
  withOwnNames,
  type Exercise,
  type ProgramText,
} from '../../../core/exercise/index.ts'

const root = join(import.meta.dirname, '../../../prisma/seed/tram-depot')

/** A mistake that students make, as written down beside the exercise. */
export interface Mistake {
  readonly file: string
  readonly cause: string
  /** The cause by its short name, as the cause finder should call it. */
  readonly causeId: string
  /** Line of the faulty instruction, from 1; of several the first; of a missing one the line before which it belongs. */
  readonly faultyLine?: number
  readonly fails: readonly string[]
}

/** The folders of the demo course, in the order of the course. */
export const folders: readonly string[] = (
  parse(readFileSync(join(root, 'course.yaml'), 'utf8')) as { exercises: { folder: string }[] }
).exercises.map(({ folder }) => folder)

/** Every file of a folder, by name. */
export function filesOf(folder: string): Readonly<Record<string, string>> {
  const names = readdirSync(join(root, folder))
  return Object.fromEntries(names.map((name) => [name, readFileSync(join(root, folder, name), 'utf8')]))
}

export function textOf(folder: string, file: string): string {
  return readFileSync(join(root, folder, file), 'utf8')
}

/** What the YAML reader makes of an exercise's document. */
export function documentOf(folder: string): Record<string, unknown> {
  return parse(textOf(folder, 'exercise.yaml')) as Record<string, unknown>
}

export function exerciseOf(folder: string): Exercise {
  const parsed = parseExercise(documentOf(folder), filesOf(folder))
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

/** As the student with this seed would hand it in: with the values of an exercise's constants behind it. */
export function programOf(folder: string, file: string, seed = 0): ProgramText {
  return withOwnNames({ format: formatOfFile(file), text: textOf(folder, file) }, exerciseOf(folder), seed)
}

export function mistakesOf(folder: string): readonly Mistake[] {
  return parse(textOf(folder, 'mistakes.yaml')) as Mistake[]
}
