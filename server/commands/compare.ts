import { compareDump, type ReadBack } from '../../core/sheets/index.ts'
import { boardNamed } from './board-named.ts'
import { readText } from './input.ts'
import { printJson, printProblems } from './output.ts'
import { readOptionsOf, readProgramFile } from './program-file.ts'

export interface CompareOptions {
  readonly board: string
  readonly json?: boolean
}

/** `hexcairn compare`: 0 when the dump holds the program, 1 when it does not, 2 when one of them cannot be read. */
export function compareCommand(programFile: string, dumpFile: string, options: CompareOptions): number {
  const program = readProgramFile(programFile, readOptionsOf(boardNamed(options.board)))
  if (!program.isOk) {
    if (options.json === true) printJson({ isOk: false, problems: program.problems })
    else printProblems(programFile, program.problems)
    return 2
  }
  const found: ReadBack = compareDump(readText(dumpFile), program)
  if (options.json === true) printJson(found)
  else {
    printProblems(dumpFile, found.problems)
    process.stdout.write(`${found.message}\n`)
  }
  return found.isSame ? 0 : found.problems.some(({ severity }) => severity === 'error') ? 2 : 1
}
