import type { Addr } from '../cpu/index.ts'
import { byteDigits, showWord, wordDigits } from './digits.ts'
import { noteEmpty } from './hex-dump.ts'
import type { Image } from './image.ts'
import { debatable } from './intel-hex-debatable.ts'
import { judge, readIntelHexRecord } from './intel-hex-record.ts'
import { Loader, type LoadLimits } from './loader.ts'
import { ProblemList, startOfText } from './problem-list.ts'
import type { Place } from './problem.ts'
import type { ImageReading, LoadedLine } from './reading.ts'
import { textLines } from './text-lines.ts'

const sameAgain = { accept: 'silent', warn: 'warning', reject: 'error' } as const

/**
 * Reads Intel HEX records (types 00 to 05). What the format leaves open is decided in `intel-hex-debatable.ts`. `start` is
 * the address of a start record (03 or 05), or of an end record where that is not 0000.
 */
export function parseIntelHex(text: string, limits: LoadLimits = {}): ImageReading {
  const problems = new ProblemList()
  const loader = new Loader(problems, { ...limits, sameAgain: sameAgain[debatable.sameAgain.verdict] })
  const lines: LoadedLine[] = []
  let start: Addr | null = null
  if (!problems.refuseLength(text)) {
    // Bits 4 to 19, or 16 to 31, of the addresses of the data records that follow.
    let base = 0
    let endLine = 0
    const source = textLines(text)
    for (const [index, line] of source.entries()) {
      if (line.trim() === '') continue
      const at: Place = { line: index + 1, column: 1, length: Math.max(1, line.length) }
      const record = readIntelHexRecord(line, index + 1, problems)
      if (record === null) continue
      const { type, address, data } = record
      if (endLine > 0) {
        noteAfterEnd(type === 1 ? 'endTwice' : 'afterEnd', endLine, at, problems)
        if (type === 0) continue
      }
      if (type === 0 && data.length > 0) {
        if (base + address + data.length > 0x10000) noteHigh(base, address, data.length, at, problems)
        else {
          loader.put(base + address, data, at)
          lines.push({ line: index + 1, address: base + address, bytes: data })
        }
      }
      const high = ((data[0] ?? 0) << 8) | (data[1] ?? 0)
      const low = ((data[2] ?? 0) << 8) | (data[3] ?? 0)
      if (type === 1) {
        endLine = index + 1
        if (address !== 0) start = address
      }
      if (type === 2) base = high * 0x10
      if (type === 4) base = high * 0x10000
      if (type === 3) start = startAt(high * 0x10 + low, at, problems)
      if (type === 5) start = startAt(high * 0x10000 + low, at, problems)
      if (loader.isFull) break
    }
    noteMissing(endLine > 0, loader, source.length, problems)
  }
  return { image: loader.image(), lines, start, problems: problems.toArray() }
}

function noteMissing(hasEnd: boolean, loader: Loader, lineCount: number, problems: ProblemList): void {
  if (loader.size === 0) {
    if (!hasEnd && !problems.hasErrors) noteEmpty(problems)
    if (hasEnd && !problems.hasErrors)
      judge('endAlone', startOfText, problems, {
        code: 'empty',
        found: 'an end record and no data',
        allowed: 'at least one data byte',
        message: 'There is no data record in this text, so there is nothing to load.',
      })
    return
  }
  if (hasEnd || loader.isFull) return
  problems.error(
    { line: Math.max(1, lineCount), column: 1, length: 1 },
    {
      code: 'no-end-record',
      found: 'no end record',
      allowed: ':00000001FF as the last line',
      message:
        'The end record :00000001FF is missing. The text may have been cut off; if it is whole, add that line at its end.',
    },
  )
}

function noteAfterEnd(name: 'endTwice' | 'afterEnd', endLine: number, at: Place, problems: ProblemList): void {
  judge(name, at, problems, {
    code: name === 'endTwice' ? 'second-end-record' : 'data-after-end',
    found: name === 'endTwice' ? 'a second end record' : 'a record after the end record',
    allowed: 'the end record as the last one',
    message:
      name === 'endTwice'
        ? `Line ${endLine} has ended the file already; a second end record says nothing new.`
        : `Line ${endLine} has ended the file, so this record would not be loaded. Take out the end record in line ${endLine}, or this one.`,
  })
}

function noteHigh(base: number, address: Addr, count: number, at: Place, problems: ProblemList): void {
  const first = base + address
  const text = {
    found: `${first.toString(16).toUpperCase().padStart(4, '0')}h to ${(first + count - 1).toString(16).toUpperCase()}h`,
    allowed: '0000h to FFFFh',
  }
  if (first > 0xffff)
    judge('upperAddress', at, problems, {
      ...text,
      code: 'past-end',
      message: `This record goes to ${text.found}, because an address record before it set the upper part. A Z80 ends at FFFFh.`,
    })
  else
    judge('pastEnd', at, problems, {
      ...text,
      code: 'past-end',
      message: `This record begins at ${showWord(first)} and reaches past FFFFh, the last address of a Z80.`,
    })
}

function startAt(address: number, at: Place, problems: ProblemList): Addr | null {
  if (address <= 0xffff) return address
  problems.warning(at, {
    code: 'start-outside',
    found: `${address.toString(16).toUpperCase()}h`,
    allowed: '0000h to FFFFh',
    message: `The start address ${address.toString(16).toUpperCase()}h is no address of a Z80 and was not used.`,
  })
  return null
}

export interface IntelHexStyle {
  /** Data bytes in a record, 1 to 255; 16 when left out. */
  readonly perRecord?: number
  /** Where the program starts, written as a record of type 05; none when left out. */
  readonly start?: Addr
}

/** The image as Intel HEX with LF line ends, which `parseIntelHex` reads back. */
export function writeIntelHex(image: Image, style: IntelHexStyle = {}): string {
  const perRecord = style.perRecord ?? 16
  const out: string[] = []
  for (const { start, bytes } of image.segments)
    for (let i = 0; i < bytes.length; i += perRecord) out.push(record(0, start + i, bytes.subarray(i, i + perRecord)))
  if (style.start !== undefined) out.push(record(5, 0, [0, 0, style.start >> 8, style.start & 0xff]))
  out.push(record(1, 0, []))
  return out.map((line) => `${line}\n`).join('')
}

function record(type: number, address: Addr, data: ArrayLike<number>): string {
  const bytes = [data.length, address >> 8, address & 0xff, type, ...Array.from(data)]
  const checksum = -bytes.reduce((sum, byte) => sum + byte, 0) & 0xff
  return `:${byteDigits(data.length)}${wordDigits(address)}${bytes.slice(3).map(byteDigits).join('')}${byteDigits(checksum)}`
}
