import { detectFormat, type ListingLine, type Program } from '../assembler/index.ts'
import type { Addr, Byte } from '../cpu/index.ts'
import {
  byteAt,
  byteDigits,
  imageRange,
  parseHexDump,
  parseIntelHex,
  showCount,
  showWord,
  type Image,
  type Problem,
  type Segment,
} from '../image/index.ts'

/** The one slip that explains every difference between a memory dump and the program, or that there is none such. */
export type Slip =
  | { readonly kind: 'wrong'; readonly address: Addr; readonly found: Byte; readonly wanted: Byte }
  /** The byte for `address` was left out, and all behind it stand one place too low. */
  | { readonly kind: 'missing'; readonly address: Addr; readonly wanted: Byte }
  /** A byte too many at `address`, and all behind it stand one place too high. */
  | { readonly kind: 'extra'; readonly address: Addr; readonly found: Byte }
  /** The bytes for `address` and the address behind it changed places. */
  | { readonly kind: 'swapped'; readonly address: Addr }
  | { readonly kind: 'several' }

/** What comparing a dump with a program gives. */
export interface ReadBack {
  /** True when every byte of the program stands in the dump, at its place. */
  readonly isSame: boolean
  /** What could not be read in the dump; with an error nothing was compared. */
  readonly problems: readonly Problem[]
  /** Addresses of the program that hold something else in the dump. */
  readonly differences: number
  /** Addresses of the program that the dump does not show. */
  readonly notShown: number
  /** The first of them; `found` is null where the dump has no byte. */
  readonly first: {
    readonly address: Addr
    readonly found: Byte | null
    readonly wanted: Byte
    /** The line of the program that the byte belongs to. */
    readonly line: ListingLine | null
  } | null
  readonly slip: Slip | null
  /** All of it in words. */
  readonly message: string
}

/**
 * Compares a memory dump (a hex dump, or Intel HEX) with what the program should have put there. A dump without addresses
 * is taken to begin where the program does; what it holds beyond the program is not looked at, but for a byte that was
 * pushed out of it.
 */
export function compareDump(dumpText: string, program: Program): ReadBack {
  const origin = imageRange(program.image)?.from ?? program.entry
  const maxBytes = 0x10000
  const reading =
    detectFormat(dumpText) === 'intel-hex'
      ? parseIntelHex(dumpText, { maxBytes })
      : parseHexDump(dumpText, { origin, maxBytes })
  const { problems } = reading
  const nothing = { isSame: false, problems, differences: 0, notShown: 0, first: null, slip: null }
  if (problems.some(({ severity }) => severity === 'error'))
    return { ...nothing, message: `The dump could not be read: ${problems[0]?.message ?? ''}` }

  const all = addressesOf(program.image).filter((at) => byteAt(reading.image, at) !== byteAt(program.image, at))
  const wrong = all.filter((at) => byteAt(reading.image, at) !== null)
  const [address] = wrong.length > 0 ? wrong : all
  if (address === undefined)
    return { ...nothing, isSame: true, message: 'The dump and the program agree in every byte.' }
  const first = {
    address,
    found: byteAt(reading.image, address),
    wanted: byteAt(program.image, address) ?? 0,
    line: program.listing.find((each) => covers(each, address)) ?? null,
  }
  const slip = wrong.length === 0 ? null : slipOf(program.image, reading.image, wrong)
  const notShown = all.length - wrong.length
  const sentences = [
    firstInWords(first),
    slip === null ? '' : slipInWords(slip, wrong.length),
    wrong.length > 0 && notShown > 0 ? `The dump does not show ${showCount(notShown, 'byte')} of the program.` : '',
  ]
  const message = sentences.filter((sentence) => sentence !== '').join(' ')
  return { ...nothing, differences: wrong.length, notShown, first, slip, message }
}

function addressesOf({ segments }: Image): Addr[] {
  return segments.flatMap(({ start, bytes }) => Array.from(bytes, (_, i) => start + i))
}

function covers({ address, bytes }: ListingLine, at: Addr): boolean {
  return address !== null && at >= address && at < address + bytes.length
}

function slipOf(program: Image, dump: Image, wrong: readonly Addr[]): Slip {
  const [address = 0] = wrong
  const segment = program.segments.find(({ start, bytes }) => address >= start && address < start + bytes.length)
  const several: Slip = { kind: 'several' }
  if (segment === undefined) return several
  const end = segment.start + segment.bytes.length
  // A slip pushes what stands together; other stretches of the program must be as they should.
  if (wrong.some((each) => each >= end)) return several
  const wanted = (at: Addr): Byte => segment.bytes[at - segment.start] ?? 0
  const found = (at: Addr): Byte | null => byteAt(dump, at)
  const here = found(address)
  if (here === null) return several
  if (wrong.length === 1) return { kind: 'wrong', address, found: here, wanted: wanted(address) }
  const isSwapped = wrong.length === 2 && here === wanted(address + 1) && found(address + 1) === wanted(address)
  if (isSwapped && wrong[1] === address + 1) return { kind: 'swapped', address }
  if (isShifted(segment, address, end - 1, 1, found)) return { kind: 'missing', address, wanted: wanted(address) }
  if (isShifted(segment, address + 1, end, -1, found)) return { kind: 'extra', address, found: here }
  return several
}

/** True when from `from` up to `to` (excluded) the dump, as far as it goes, holds what the program has `by` places on. */
function isShifted(
  { start, bytes }: Segment,
  from: Addr,
  to: Addr,
  by: 1 | -1,
  found: (address: Addr) => Byte | null,
): boolean {
  let compared = 0
  for (let at = from; at < to; at += 1) {
    const byte = found(at)
    if (byte === null) continue
    if (byte !== bytes[at + by - start]) return false
    compared += 1
  }
  return compared > 0
}

function firstInWords({ address, found, wanted, line }: NonNullable<ReadBack['first']>): string {
  const where = line === null ? '' : ` (line ${line.line}: ${line.source.replace(/;.*/, '').trim()})`
  return found === null
    ? `The dump has no byte for ${showWord(address)}, where ${byteDigits(wanted)} should stand${where}.`
    : `The first difference is at ${showWord(address)}: ${byteDigits(found)} stands there, ${byteDigits(wanted)} should${where}.`
}

function slipInWords(slip: Slip, differences: number): string {
  switch (slip.kind) {
    case 'wrong':
      return 'It is the only one: one byte is wrong.'
    case 'swapped':
      return `The bytes at ${showWord(slip.address)} and ${showWord(slip.address + 1)} have changed places; all else is right.`
    case 'missing':
      return `One missing byte explains all ${showCount(differences, 'difference')}: ${byteDigits(slip.wanted)} was left out at ${showWord(slip.address)}, and what follows stands one place too low.`
    case 'extra':
      return `One byte too many explains all ${showCount(differences, 'difference')}: ${byteDigits(slip.found)} at ${showWord(slip.address)}, and what follows stands one place too high.`
    case 'several':
      return `${showCount(differences, 'byte')} differ${differences === 1 ? 's' : ''}, and no single slip explains them all.`
  }
}
