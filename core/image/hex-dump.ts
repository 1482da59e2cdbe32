import type { Addr, Byte } from '../cpu/index.ts'
import { bytesPerKeyingLine, checkBytes } from './check-bytes.ts'
import { byteDigits, showByte, showCharacter, wordDigits } from './digits.ts'
import type { Image } from './image.ts'
import { Loader, type LoadLimits } from './loader.ts'
import { ProblemList, startOfText } from './problem-list.ts'
import type { Place } from './problem.ts'
import type { ImageReading, LoadedLine } from './reading.ts'
import { textLines } from './text-lines.ts'

export interface HexDumpOptions extends LoadLimits {
  /** Where the first byte goes when the dump gives no address before it. */
  readonly origin: Addr
}

/** The parts of a line, each with the column (from 0) at which it begins. */
interface DumpLine {
  readonly text: string
  readonly address: { readonly text: string; readonly column: number } | null
  readonly body: string
  readonly bodyColumn: number
  readonly checks: { readonly s: Byte; readonly w: Byte; readonly column: number; readonly length: number } | null
}

/**
 * Reads a hex dump: bytes of two hexadecimal digits, with or without blanks between them. A line may begin with its address
 * (`4000:`, or `4000` where every line has one), and may end with the check bytes of a keying sheet (`S=4F W=E1`), which
 * are checked. Bytes without an address follow the byte before. `;` begins a comment.
 */
export function parseHexDump(text: string, options: HexDumpOptions): ImageReading {
  const problems = new ProblemList()
  const loader = new Loader(problems, options)
  const lines: LoadedLine[] = []
  if (!problems.refuseLength(text)) {
    const source = textLines(text)
    const hasBareAddresses = isAddressedThroughout(source)
    let address = options.origin
    for (const [index, lineText] of source.entries()) {
      const parts = splitLine(lineText, hasBareAddresses)
      const at = (column: number, length: number): Place => ({ line: index + 1, column: column + 1, length })
      if (parts.address !== null) {
        const read = readAddress(parts.address, at, problems)
        if (read === null) continue
        address = read
      }
      const bytes = readBytes(parts.body, parts.bodyColumn, at, problems)
      if (bytes.length === 0) continue
      if (parts.checks !== null) compareChecks(parts.checks, bytes, at, problems)
      const column = parts.bodyColumn + (parts.body.length - parts.body.trimStart().length)
      loader.put(address, bytes, at(column, Math.max(1, parts.body.trim().length)))
      lines.push({ line: index + 1, address: address & 0xffff, bytes })
      address += bytes.length
      if (loader.isFull) break
    }
    if (loader.size === 0 && !problems.hasErrors) noteEmpty(problems)
  }
  return { image: loader.image(), lines, start: null, problems: problems.toArray() }
}

/** Says that a text holds not one byte. */
export function noteEmpty(problems: ProblemList): void {
  problems.error(startOfText, {
    code: 'empty',
    found: 'no byte',
    allowed: 'at least one byte',
    message: 'There is no byte in this text, so there is nothing to load.',
  })
}

const bareAddress = /^\s*[0-9A-Fa-f]{4}(?:\s+[0-9A-Fa-f]{2})+\s*$/

/** `4000 3E 05` could be three bytes or four. It has an address only if every line of the dump reads that way. */
function isAddressedThroughout(lines: readonly string[]): boolean {
  const bodies = lines.map((line) => withoutChecks(withoutComment(line)).body).filter((body) => body.trim() !== '')
  return bodies.length > 0 && bodies.every((body) => bareAddress.test(body))
}

function withoutComment(line: string): string {
  const at = line.indexOf(';')
  return at < 0 ? line : line.slice(0, at)
}

function withoutChecks(line: string): { body: string; checks: DumpLine['checks'] } {
  const found = /\s(S\s*=\s*([0-9A-F]{2})\s+W\s*=\s*([0-9A-F]{2}))\s*$/i.exec(line)
  if (found === null) return { body: line, checks: null }
  const [, text = '', s = '', w = ''] = found
  const column = found.index + 1
  return {
    body: line.slice(0, found.index),
    checks: { s: parseInt(s, 16), w: parseInt(w, 16), column, length: text.length },
  }
}

function splitLine(line: string, hasBareAddress: boolean): DumpLine {
  const { body, checks } = withoutChecks(withoutComment(line))
  // Blanks are matched in one place only: in two, a line of blanks takes the square of its length.
  const marked = /^(\s*)(?:([^\s:]+)\s*)?:/.exec(body) ?? (hasBareAddress ? /^(\s*)([0-9A-F]{4})/i.exec(body) : null)
  if (marked === null) return { text: line, address: null, body, bodyColumn: 0, checks }
  const [all, indent = '', address = ''] = marked
  return {
    text: line,
    address: { text: address, column: indent.length },
    body: body.slice(all.length),
    bodyColumn: all.length,
    checks,
  }
}

function readAddress(
  address: { readonly text: string; readonly column: number },
  at: (column: number, length: number) => Place,
  problems: ProblemList,
): Addr | null {
  const { text, column } = address
  if (/^[0-9A-F]{4}$/i.test(text)) return parseInt(text, 16)
  const place = at(column, Math.max(1, text.length))
  if (text === '')
    problems.error(place, {
      code: 'bad-address',
      found: "':' without an address before it",
      allowed: 'four hexadecimal digits and a colon',
      message:
        "An address belongs before the colon, as in 4000: 3E 05. (Lines that begin with ':' are Intel HEX records; choose that format for them.)",
    })
  else
    problems.error(place, {
      code: 'bad-address',
      found: text,
      allowed: 'four hexadecimal digits and a colon',
      message: `${text} is no address: an address is four hexadecimal digits, as in ${/^[0-9A-F]{1,3}$/i.test(text) ? text.toUpperCase().padStart(4, '0') : '4000'}:. The bytes of this line were left out.`,
    })
  return null
}

function readBytes(
  body: string,
  bodyColumn: number,
  at: (column: number, length: number) => Place,
  problems: ProblemList,
): Byte[] {
  const bytes: Byte[] = []
  for (const { 0: group, index } of body.matchAll(/[^ \t]+/g)) {
    const column = bodyColumn + index
    if (/^[0-9A-F]*$/i.test(group)) {
      if (group.length % 2 === 1) noteOddDigit(group, at(column, group.length), problems)
      for (let i = 0; i + 1 < group.length; i += 2) bytes.push(parseInt(group.slice(i, i + 2), 16))
    } else {
      noteBadCharacters(group, column, at, problems)
      // Zeros keep the places of the bytes after an unreadable group, so that later overlaps are told rightly.
      for (let i = 0; i < group.length; i += 2) bytes.push(0)
    }
  }
  return bytes
}

function noteOddDigit(group: string, place: Place, problems: ProblemList): void {
  if (problems.isFull) return problems.countError()
  const isShort = group.length === 1
  problems.error(place, {
    code: 'odd-digit',
    found: group,
    allowed: 'two hexadecimal digits for each byte',
    message: isShort
      ? `${group} is half a byte. A byte is two hexadecimal digits: write 0${group} for the value ${group}h, or add the missing digit.`
      : `${group} has ${group.length} digits, which is odd. A byte is two hexadecimal digits, so one is missing here or one is too many.`,
  })
}

const lookAlikes: Readonly<Record<string, string>> = { O: '0', o: '0', Q: '0', I: '1', l: '1', i: '1', S: '5', Z: '2' }

function noteBadCharacters(
  group: string,
  column: number,
  at: (column: number, length: number) => Place,
  problems: ProblemList,
): void {
  let offset = 0
  for (const character of group) {
    if (!/^[0-9A-F]$/i.test(character)) {
      if (problems.isFull) {
        problems.countError()
        continue
      }
      const meant = lookAlikes[character]
      problems.error(at(column + offset, character.length), {
        code: 'bad-character',
        found: showCharacter(character),
        allowed: '0 to 9 and A to F',
        message: `${showCharacter(character)} is no hexadecimal digit. Allowed are 0 to 9 and A to F${meant === undefined ? '' : `; was the digit ${meant} meant`}${meant === undefined ? '.' : '?'}`,
      })
    }
    offset += character.length
  }
}

function compareChecks(
  checks: NonNullable<DumpLine['checks']>,
  bytes: readonly Byte[],
  at: (column: number, length: number) => Place,
  problems: ProblemList,
): void {
  const { s, w } = checkBytes(bytes)
  if (s === checks.s && w === checks.w) return
  const found = `S=${byteDigits(s)} W=${byteDigits(w)}`
  const allowed = `S=${byteDigits(checks.s)} W=${byteDigits(checks.w)}`
  problems.error(at(checks.column, checks.length), {
    code: 'bad-check-byte',
    found,
    allowed,
    message:
      s === checks.s
        ? `The bytes of this line add up rightly (S=${byteDigits(s)}), but W comes to ${showByte(w)} where ${showByte(checks.w)} is written: two bytes have probably changed places.`
        : `The bytes of this line give ${found}, but ${allowed} is written: a byte is wrong, missing or extra.`,
  })
}

export interface HexDumpStyle {
  /** Bytes on a line; 8 when left out. */
  readonly perLine?: number
  /** Whether each line begins with its address; true when left out. Without, gaps between segments are lost. */
  readonly hasAddresses?: boolean
  /** Whether each line ends with its check bytes S and W (`perLine` at most 8). */
  readonly hasChecks?: boolean
}

/** The image as a hex dump that `parseHexDump` reads back: `4000: 3E 05 06 03 80 10 FD 76`. */
export function writeHexDump(image: Image, style: HexDumpStyle = {}): string {
  const perLine = style.perLine ?? bytesPerKeyingLine
  const out: string[] = []
  for (const { start, bytes } of image.segments)
    for (let i = 0; i < bytes.length; i += perLine)
      out.push(hexDumpLine(start + i, bytes.subarray(i, i + perLine), style))
  return out.map((line) => `${line}\n`).join('')
}

/** One line of a hex dump, without its line end. */
export function hexDumpLine(address: Addr, bytes: ArrayLike<Byte>, style: HexDumpStyle = {}): string {
  const digits = Array.from(bytes, byteDigits).join(' ')
  const { s, w } = checkBytes(bytes)
  return (
    (style.hasAddresses === false ? '' : `${wordDigits(address)}: `) +
    digits +
    (style.hasChecks === true ? `  S=${byteDigits(s)} W=${byteDigits(w)}` : '')
  )
}
