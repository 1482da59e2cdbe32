import { realpathSync, writeFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { reasonOf } from './file-fault.ts'
import { CommandProblem } from './output.ts'

/** Writes the files that one command was asked for. What it reads is never overwritten, and no file is written twice. */
export class OutputFiles {
  readonly #taken = new Map<string, string>()

  /** `inputs` are the files that the command reads, as they were named. */
  constructor(inputs: readonly string[]) {
    for (const file of inputs) if (file !== '-') this.#taken.set(placeOf(file), `${file} is what is read`)
  }

  write(file: string, content: string | Uint8Array): void {
    // `-o --json`: the file's name was left out, and the option behind it taken for one.
    if (file.startsWith('-'))
      throw new CommandProblem(
        'output-is-option',
        `${file} is no file to write: its name is missing before ${file}. For a file of that name write ./${file}.`,
      )
    const taken = this.#taken.get(placeOf(file))
    if (taken !== undefined)
      throw new CommandProblem('output-taken', `${file} cannot be written: ${taken}. Name another file.`)
    this.#taken.set(placeOf(file), `${file} is written already`)
    try {
      writeFileSync(file, content)
    } catch (error) {
      throw new CommandProblem('cannot-write', `${file === '' ? "''" : file} cannot be written: ${reasonOf(error)}.`)
    }
  }
}

/** The same for all names of one file, as far as it exists. */
function placeOf(file: string): string {
  try {
    return realpathSync(file)
  } catch {
    return resolve(file.replaceAll('\0', ''))
  }
}
