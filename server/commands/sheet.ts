import { basename, extname } from 'node:path'
import { sheet, sheetKinds, type Paper, type SheetKind } from '../../core/sheets/index.ts'
import { boardNamed } from './board-named.ts'
import { OutputFiles } from './output-file.ts'
import { CommandProblem, printProblems } from './output.ts'
import { readOptionsOf, readProgramFile } from './program-file.ts'

export interface SheetCommandOptions {
  readonly kind: string
  readonly answers?: boolean
  readonly paper: string
  readonly out?: string
  readonly board: string
}

/** `hexcairn sheet`: text on standard output, or a page to print where the output file ends in `.html`. */
export function sheetCommand(file: string, options: SheetCommandOptions): number {
  const kind = sheetKinds.find((each) => each === options.kind)
  if (kind === undefined)
    throw new CommandProblem(
      'sheet-unknown',
      `--kind is '${options.kind}'; one of ${sheetKinds.join(', ')} was wanted.`,
    )
  const paper = paperNamed(options.paper)
  const profile = boardNamed(options.board)
  const program = readProgramFile(file, readOptionsOf(profile))
  printProblems(file, program.problems)
  if (!program.isOk) return 2
  const isPage = options.out !== undefined && ['.html', '.htm'].includes(extname(options.out).toLowerCase())
  const text = sheet(program, kind satisfies SheetKind, {
    format: isPage ? 'html' : 'text',
    paper,
    title: file === '-' ? 'program' : basename(file),
    hasAnswers: options.answers === true,
    clockHz: profile.clockHz,
  })
  if (options.out === undefined) process.stdout.write(text)
  else new OutputFiles([file]).write(options.out, text)
  return 0
}

function paperNamed(text: string): Paper {
  const papers: readonly Paper[] = ['A4', 'Letter']
  const paper = papers.find((each) => each.toLowerCase() === text.toLowerCase())
  if (paper === undefined)
    throw new CommandProblem('paper-unknown', `--paper is '${text}'; one of ${papers.join(', ')} was wanted.`)
  return paper
}
