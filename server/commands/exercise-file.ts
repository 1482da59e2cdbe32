import { existsSync, readdirSync, statSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import type { BoardProfile } from '../../core/board/index.ts'
import type { Exercise } from '../../core/exercise/index.ts'
import type { Fault } from '../contract/index.ts'
import { countOfMistakes, readExerciseText, type WrongDocument } from '../exercises/document.ts'
import { packageRoot } from '../package-root.ts'
import { readText } from './input.ts'
import { CommandProblem } from './output.ts'

/** An exercise document that cannot be used: every mistake with its line. */
function documentProblem(file: string, wrong: WrongDocument): CommandProblem {
  const { faults } = wrong
  const lines = faults.map(({ line, column, message }) => `\n${file}:${line ?? 1}:${column ?? 1}: error: ${message}`)
  return new CommandProblem('exercise-document-wrong', `${file} has ${countOfMistakes(wrong)}:${lines.join('')}`, {
    file,
    faults,
  })
}

const demoFolder = join(packageRoot, 'prisma', 'seed', 'tram-depot')

/** The names that stand for exercises of the demo course. */
export function demoExercises(): readonly string[] {
  return readdirSync(demoFolder).filter((name) => existsSync(join(demoFolder, name, 'exercise.yaml')))
}

/** An exercise with its board, and what in its document is hardly meant. */
export interface ExerciseFile {
  readonly file: string
  readonly exercise: Exercise
  readonly profile: BoardProfile
  warnings(): readonly Fault[]
}

/** An exercise by its `exercise.yaml` (or JSON), its folder, or the name of a demo exercise. */
export function readExercise(named: string): ExerciseFile {
  const file = fileOf(named)
  const read = readExerciseText(readText(file), programsBeside(file))
  if (!read.isOk) throw documentProblem(file, read)
  return { ...read, file }
}

/** The warnings of a document as lines, each with its place. */
export function warningLines({ file, warnings }: ExerciseFile): readonly string[] {
  return warnings().map(({ line, column, message }) => `${file}:${line ?? 1}:${column ?? 1}: warning: ${message}`)
}

function fileOf(named: string): string {
  if (existsSync(named)) return statSync(named).isDirectory() ? join(named, 'exercise.yaml') : named
  const demo = demoExercises().find((name) => name.toLowerCase() === named.toLowerCase())
  if (demo !== undefined) return join(demoFolder, demo, 'exercise.yaml')
  throw new CommandProblem(
    'exercise-not-found',
    `There is no exercise ${named}; wanted is an exercise.yaml, its folder, or one of ${demoExercises().join(', ')}.`,
  )
}

/** The texts that a document may name as its model answer. */
function programsBeside(file: string): Record<string, string> {
  const folder = dirname(file)
  const names = readdirSync(folder).filter(
    (name) =>
      name !== basename(file) &&
      /\.(asm|s|z80|hex|ihx|ihex)$/i.test(name) &&
      existsSync(join(folder, name)) &&
      statSync(join(folder, name)).isFile(),
  )
  return Object.fromEntries(names.map((name) => [name, readText(join(folder, name))]))
}
