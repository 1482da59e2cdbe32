import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { formatOfFile, withOwnNames, type Exercise, type ProgramText } from '../../../core/exercise/index.ts'

const root = join(import.meta.dirname, '../../fixtures/answers')

/**
 * An answer that nobody looked at while the exercise was made: right in another style than the model answer's, or wrong
 * by a strategy that a few cases could miss.
 */
export interface OtherAnswer {
  readonly folder: string
  readonly file: string
  /** The first line of the file: its style, or what is wrong with it. */
  readonly about: string
  /** Of a wrong answer, the checks that must notice it; `refused` where it may not be run at all. Empty for a right one. */
  readonly fails: readonly string[]
}

/** The answers of one exercise: `right-*` and `wrong-*` files, in the order of their names. */
export function otherAnswers(folder: string): readonly OtherAnswer[] {
  if (!existsSync(join(root, folder))) return []
  return readdirSync(join(root, folder)).map((file) => {
    const lines = readFileSync(join(root, folder, file), 'utf8').split('\n')
    const [about, fails] = lines.map((line) => /^; *(.*)$/.exec(line)?.[1] ?? '')
    const names = /^fails: *(.+)$/.exec(fails ?? '')?.[1]?.split(/, */)
    return { folder, file, about: about ?? '', fails: names ?? [] }
  })
}

/** As the student with this seed would hand it in. */
export function handedIn({ folder, file }: OtherAnswer, exercise: Exercise, seed: number): ProgramText {
  const text = readFileSync(join(root, folder, file), 'utf8')
  return withOwnNames({ format: formatOfFile(file), text }, exercise, seed)
}
