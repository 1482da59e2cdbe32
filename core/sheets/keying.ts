import type { Program } from '../assembler/index.ts'
import type { Addr, Byte } from '../cpu/index.ts'
import {
  bytesPerKeyingLine,
  byteDigits,
  checkBytes,
  hexDumpLine,
  imageSize,
  showCount,
  showWord,
  wordDigits,
} from '../image/index.ts'
import { figures, words, type Page } from './page.ts'
import { programRows, shownTStates, type ProgramRow } from './program-rows.ts'
import { wrapped } from './text-page.ts'

/** One line to key: up to eight bytes with their check bytes, and what they mean. */
interface KeyingLine {
  readonly address: Addr
  readonly bytes: readonly Byte[]
  readonly rows: readonly ProgramRow[]
}

const howTo = [
  'Key the address of the first line, then the bytes from left to right. A line ends where the address ends in 0 or 8.',
  'After each line the board stands at the address of the next one. One more: a byte was keyed twice; one less: one is missing.',
  'S is the sum of the bytes of the line, W the sum of 1 × first, 2 × second and so on, both modulo 256: S tells a wrong byte, W two bytes that changed places.',
]

export function keyingPage(program: Program, title: string): Page {
  const lines = keyingLines(programRows(program))
  const column = (cells: readonly string[]): string => cells.join('\n')
  return {
    title,
    intro: [summary(program), ...howTo],
    tables: [
      {
        caption: null,
        columns: [
          ...[words('Address', 7), words('Bytes', 23), words('S', 2), words('W', 2)],
          ...[words('Label', 8), words('Instruction', 18), figures('T', 5)],
        ],
        rows: lines.map(({ address, bytes, rows }) => {
          const { s, w } = checkBytes(bytes)
          return [
            ...[wordDigits(address), bytes.map(byteDigits).join(' '), byteDigits(s), byteDigits(w)],
            column(rows.map((row) => row.label ?? '')),
            column(rows.map((row) => row.text)),
            column(rows.map(shownTStates)),
          ]
        }),
      },
    ],
  }
}

/** The sheet as a hex dump with check bytes, all else in comments: it can be handed in as it stands. */
export function keyingText(program: Program, title: string): string {
  const out = [title, '', ...[summary(program), ...howTo].flatMap((sentence) => wrapped(sentence, 76))].map(commented)
  for (const { address, bytes: keyed, rows } of keyingLines(programRows(program))) {
    out.push('', hexDumpLine(address, keyed, { hasChecks: true }))
    for (const row of rows) {
      // The bytes of data stand in the line above already.
      const bytes = row.kind === 'data' ? '' : row.bytes.map(byteDigits).join(' ')
      const place = `${wordDigits(row.address)}  ${bytes.padEnd(11)}`
      out.push(
        commented(`${place}  ${(row.label ?? '').padEnd(8)}  ${row.text.padEnd(24)}  ${shownTStates(row).padStart(5)}`),
      )
    }
  }
  return out.map((line) => `${line.trimEnd()}\n`).join('')
}

function commented(line: string): string {
  return `; ${line}`
}

function summary(program: Program): string {
  return `${showCount(imageSize(program.image), 'byte')}. The program starts at ${showWord(program.entry)}.`
}

/** Rows put together into lines that end before an address that eight divides: what overhangs goes on in the next line. */
function keyingLines(rows: readonly ProgramRow[]): KeyingLine[] {
  const lines: { address: Addr; bytes: Byte[]; rows: ProgramRow[] }[] = []
  for (const row of rows.flatMap(parted)) {
    const last = lines.at(-1)
    const joins =
      last !== undefined && last.address + last.bytes.length === row.address && row.address % bytesPerKeyingLine !== 0
    if (joins) {
      last.bytes.push(...row.bytes)
      last.rows.push(row)
    } else lines.push({ address: row.address, bytes: [...row.bytes], rows: [row] })
  }
  return lines
}

function parted(row: ProgramRow): ProgramRow[] {
  const parts: ProgramRow[] = []
  const goesOn = { label: null, text: '', tStates: null, tStatesNotTaken: null }
  for (let i = 0; i < row.bytes.length;) {
    const address = row.address + i
    const bytes = row.bytes.slice(i, i + bytesPerKeyingLine - (address % bytesPerKeyingLine))
    parts.push(i === 0 ? { ...row, bytes } : { ...row, ...goesOn, bytes, address })
    i += bytes.length
  }
  return parts
}
