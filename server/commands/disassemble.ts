import { readProgram } from '../../core/assembler/index.ts'
import { disassemble, toText } from '../../core/disassembler/index.ts'
import { boardNamed } from './board-named.ts'
import { readAddress } from './input.ts'
import { CommandProblem, printJson, printProblems } from './output.ts'
import { readOptionsOf, readProgramText } from './program-file.ts'

export interface DisassembleOptions {
  readonly origin?: string
  readonly entry?: string
  readonly board: string
  readonly json?: boolean
}

/** `hexcairn disassemble`: text that assembles to the same bytes. The file is a hex dump, Intel HEX, or `.bin`. */
export function disassembleCommand(file: string, options: DisassembleOptions): number {
  const { origin: usual, symbols } = readOptionsOf(boardNamed(options.board))
  const origin = options.origin === undefined ? usual : readAddress(options.origin, '--origin')
  const source = readProgramText(file, origin)
  if (source.format === 'assembly')
    throw new CommandProblem('not-bytes', `${file} is assembly; a hex dump, Intel HEX or a .bin file was wanted.`)
  const program = readProgram(source, { origin, maxBytes: 0x10000 })
  const isBytes = program.format !== 'assembly'
  if (!isBytes)
    throw new CommandProblem('not-bytes', `${file} is neither a hex dump nor Intel HEX, and does not end in .bin.`)
  if (!program.isOk) {
    if (options.json === true) printJson({ isOk: false, problems: program.problems })
    else printProblems(file, program.problems)
    return 2
  }
  const entry = options.entry === undefined ? program.entry : readAddress(options.entry, '--entry')
  const lines = disassemble(program.image, { entry, ...(symbols === undefined ? {} : { names: symbols }) })
  if (options.json === true) printJson({ isOk: true, entry, lines, problems: program.problems })
  else process.stdout.write(toText(lines))
  return 0
}
