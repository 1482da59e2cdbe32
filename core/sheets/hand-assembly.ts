import { sourceParts, type Program } from '../assembler/index.ts'
import type { Byte, Instruction } from '../cpu/index.ts'
import { byteDigits, wordDigits } from '../image/index.ts'
import { figures, words, type Cell, type Page, type Table } from './page.ts'
import { programRows, shownEncoding, shownTStates } from './program-rows.ts'

/** The program's lines with the spaces for addresses and bytes to be filled in by hand, and the opcodes it needs. */
export function handAssemblyPage(program: Program, title: string, hasAnswers: boolean): Page {
  return {
    title,
    intro: hasAnswers
      ? ['The answers.']
      : [
          'Write the address of each line, then its bytes from the table of opcodes below, then its T-states.',
          'n is a byte, nl and nh are the low and the high byte of a word (the low one comes first), d is a displacement of IX or IY, e the displacement of a relative jump, counted from the address behind it.',
        ],
    tables: [linesTable(program, hasAnswers), opcodeTable(program)],
  }
}

function linesTable(program: Program, hasAnswers: boolean): Table {
  let isFirst = true
  const rows: (readonly Cell[])[] = []
  for (const line of program.listing) {
    const { body, comment } = sourceParts(line.source)
    if (body === null && line.label === null) continue
    const makesBytes = line.bytes.length > 0 && line.address !== null
    const fill = (answer: string, given: boolean): Cell => (makesBytes ? (hasAnswers || given ? answer : null) : '')
    rows.push([
      fill(wordDigits(line.address ?? 0), isFirst),
      fill(bytesInRows(line.bytes), false),
      fill(shownTStates(line), false),
      line.label ?? labelOf(line.source),
      body ?? '',
      comment ?? '',
    ])
    if (makesBytes) isFirst = false
  }
  const columns = [words('Address', 7), words('Bytes', 11), figures('T', 5)]
  return {
    caption: null,
    columns: [...columns, words('Label', 8), words('Instruction', 18), words('Comment', 12)],
    rows,
  }
}

const bytesPerRow = 4

function bytesInRows(bytes: readonly Byte[]): string {
  const rows: string[] = []
  for (let i = 0; i < bytes.length; i += bytesPerRow)
    rows.push(
      bytes
        .slice(i, i + bytesPerRow)
        .map(byteDigits)
        .join(' '),
    )
  return rows.join('\n')
}

/** An EQU's name stands in the label's place too. */
function labelOf(source: string): string {
  return sourceParts(source).label ?? ''
}

function opcodeTable(program: Program): Table {
  const used = new Map<string, Instruction>()
  for (const { decoded } of programRows(program))
    if (decoded !== null) used.set(decoded.instruction.text, decoded.instruction)
  const sorted = [...used.values()].sort((a, b) => (a.text < b.text ? -1 : 1))
  const total = (cycles: readonly number[] | undefined) => cycles?.reduce((sum, each) => sum + each, 0) ?? null
  return {
    caption: 'Opcodes',
    columns: [words('Instruction', 18), words('Bytes', 11), figures('T', 5)],
    rows: sorted.map((instruction) => [
      ...[instruction.text, shownEncoding(instruction)],
      shownTStates({
        tStates: total(instruction.machineCycles),
        tStatesNotTaken: total(instruction.machineCyclesNotTaken),
      }),
    ]),
  }
}
