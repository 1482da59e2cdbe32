import type { Addr, Byte } from '../cpu/index.ts'
import { byteDigits, showByte, showCharacter, showCount } from './digits.ts'
import { debatable } from './intel-hex-debatable.ts'
import type { ProblemList, ProblemText } from './problem-list.ts'
import type { Place } from './problem.ts'

/** One record: `:`, count, address (high byte first), type, data, checksum. */
export interface IntelHexRecord {
  /** 0 data, 1 end, 2 segment, 3 start as CS:IP, 4 upper address, 5 start as 32 bits. */
  readonly type: 0 | 1 | 2 | 3 | 4 | 5
  readonly address: Addr
  readonly data: readonly Byte[]
}

/** Data bytes that each type of record must have; data records may have any number. */
const dataLength: Readonly<Record<number, number | null>> = { 0: null, 1: 0, 2: 2, 3: 4, 4: 2, 5: 4 }

/** Adds a problem for something debatable, as severe as its verdict says. True when the verdict is to reject. */
export function judge(name: keyof typeof debatable, at: Place, problems: ProblemList, text: ProblemText): boolean {
  const { verdict } = debatable[name]
  if (verdict === 'reject') problems.error(at, text)
  if (verdict === 'warn') problems.warning(at, text)
  return verdict === 'reject'
}

/** The record that a line holds, or null when it holds none; what is wrong with it is added to `problems`. */
export function readIntelHexRecord(line: string, lineNumber: number, problems: ProblemList): IntelHexRecord | null {
  const place = (column: number, length: number): Place => ({
    line: lineNumber,
    column: column + 1,
    length: Math.max(1, length),
  })
  const start = line.length - line.trimStart().length
  const digits = recordDigits(line, start, place, problems)
  return digits === null ? null : decode(digits, start, place, problems)
}

type PlaceAt = (column: number, length: number) => Place

/** The digits between colon and end, or null when the line is no record of digits. */
function recordDigits(line: string, start: number, place: PlaceAt, problems: ProblemList): string | null {
  const text = line.trimEnd()
  if (start > 0)
    judge('blanksBefore', place(0, start), problems, {
      code: 'blanks-before-record',
      found: showCount(start, 'blank'),
      allowed: "':' in the first column",
      message: "A record begins with ':' in the first column.",
    })
  if (text.length < line.length)
    judge('blanksAfter', place(text.length, line.length - text.length), problems, {
      code: 'blanks-after-record',
      found: showCount(line.length - text.length, 'blank'),
      allowed: 'nothing after the checksum',
      message: 'Nothing may follow the checksum of a record.',
    })
  if (text[start] !== ':') {
    const first = String.fromCodePoint(text.codePointAt(start) ?? 0x20)
    judge('textBetween', place(start, first.length), problems, {
      code: 'no-colon',
      found: showCharacter(first),
      allowed: "':' at the start of each record",
      message: `This line begins with ${showCharacter(first)}. Every record begins with ':'; put it back if it was lost, or take out a line that is no record.`,
    })
    return null
  }
  const digits = /^[0-9A-F]*/i.exec(text.slice(start + 1))?.[0] ?? ''
  const after = start + 1 + digits.length
  if (after === text.length) return digits
  const rest = text.slice(after)
  if (/^\s/.test(rest) && digits.length >= 2 && digits.length === 10 + 2 * parseInt(digits.slice(0, 2), 16)) {
    const isRefused = judge('textAfter', place(after, rest.length), problems, {
      code: 'text-after-record',
      found: rest.trim(),
      allowed: 'nothing after the checksum',
      message: `The record ends after its checksum ${digits.slice(-2).toUpperCase()}; text may not follow it. Take out '${rest.trim()}'.`,
    })
    return isRefused ? null : digits
  }
  noteBadCharacters(rest, after, place, problems)
  return null
}

function noteBadCharacters(text: string, column: number, place: PlaceAt, problems: ProblemList): void {
  let offset = 0
  for (const character of text) {
    if (!/[0-9A-F]/i.test(character)) {
      const name = character === ' ' ? 'A blank' : showCharacter(character)
      problems.error(place(column + offset, character.length), {
        code: 'bad-character',
        found: character === ' ' ? 'a blank' : name,
        allowed: '0 to 9 and A to F',
        message: `${name} may not stand inside a record. Allowed are the digits 0 to 9 and A to F.${/[oO]/.test(character) ? ' Was the digit 0 meant?' : ''}`,
      })
    }
    offset += character.length
  }
}

function decode(digits: string, start: number, place: PlaceAt, problems: ProblemList): IntelHexRecord | null {
  const refuse = (code: string, at: Place, found: string, allowed: string, message: string): null => {
    problems.error(at, { code, found, allowed, message })
    return null
  }
  const whole = place(start, digits.length + 1)
  const countPlace = place(start + 1, 2)
  if (digits.length % 2 === 1)
    return refuse(
      'odd-digit',
      whole,
      showCount(digits.length, 'digit'),
      'two digits for each byte',
      `The record has ${showCount(digits.length, 'digit')} after the colon, an odd number: one is missing or one is too many.`,
    )
  if (digits.length < 10)
    return refuse(
      'record-too-short',
      whole,
      showCount(digits.length, 'digit'),
      'at least 10 digits',
      `A record has at least 10 digits after the colon: count, address, type and checksum. This one has ${digits.length}.`,
    )
  const bytes = Array.from({ length: digits.length / 2 }, (_, i) => parseInt(digits.slice(2 * i, 2 * i + 2), 16))
  const [count = 0, addressHigh = 0, addressLow = 0, type = 0] = bytes
  const there = bytes.length - 5
  if (there !== count)
    return refuse(
      'bad-count',
      countPlace,
      showCount(there, 'data byte'),
      `${showCount(count, 'data byte')}, as the count ${byteDigits(count)} says`,
      `The count ${byteDigits(count)} promises ${showCount(count, 'data byte')}, but ${there} ${there === 1 ? 'stands' : 'stand'} there before the checksum.`,
    )
  const checksum = bytes[bytes.length - 1] ?? 0
  const right = -bytes.slice(0, -1).reduce((sum, byte) => sum + byte, 0) & 0xff
  if (checksum !== right)
    return refuse(
      'bad-checksum',
      place(start + digits.length - 1, 2),
      byteDigits(checksum),
      byteDigits(right),
      `The checksum is ${byteDigits(checksum)}, but the bytes of this record need ${byteDigits(right)}. One of the digits of the record is wrong.`,
    )
  const wanted = dataLength[type]
  if (wanted === undefined)
    return refuse(
      'bad-record-type',
      place(start + 7, 2),
      byteDigits(type),
      '00 to 05',
      `There is no record type ${byteDigits(type)}. Types are 00 (data), 01 (end) and 02 to 05 (addresses).`,
    )
  if (wanted !== null && wanted !== count)
    return refuse(
      'bad-count',
      countPlace,
      showCount(count, 'data byte'),
      showCount(wanted, 'data byte'),
      `A record of type ${byteDigits(type)} has ${showCount(wanted, 'data byte')}, but this one has ${count}.`,
    )
  const record = {
    type: type as IntelHexRecord['type'],
    address: (addressHigh << 8) | addressLow,
    data: bytes.slice(4, -1),
  }
  noteOpenQuestions(digits, record, whole, problems)
  return record
}

function noteOpenQuestions(digits: string, record: IntelHexRecord, at: Place, problems: ProblemList): void {
  const { type, data } = record
  const address = record.address.toString(16).toUpperCase().padStart(4, '0')
  if (/[a-f]/.test(digits))
    judge('lowerCaseDigits', at, problems, {
      code: 'small-letters',
      found: 'small letters',
      allowed: '0 to 9 and A to F',
      message: 'The digits of a record are written in capitals.',
    })
  if (type === 0 && data.length === 0)
    judge('noData', at, problems, {
      code: 'no-data',
      found: 'no data byte',
      allowed: 'at least one',
      message: 'This data record has no data.',
    })
  if (type === 1 && record.address !== 0)
    judge('addressInEnd', at, problems, {
      code: 'address-in-end',
      found: `${address}h`,
      allowed: '0000h',
      message: `The end record has the address ${address}h.`,
    })
  if ((type === 2 || type === 4) && record.address !== 0)
    judge('addressInUpper', at, problems, {
      code: 'address-without-meaning',
      found: `${address}h`,
      allowed: '0000h',
      message: `The address ${address}h of a record of type ${showByte(type)} has no meaning and was not used; it should be 0000.`,
    })
}
