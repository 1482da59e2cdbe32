import type { Program } from '../assembler/index.ts'
import type { Addr, Byte } from '../cpu/index.ts'
import { byteAt, imageSize, isSameImage, type Image } from '../image/index.ts'

/** Most bytes that an instruction has. */
const longest = 4

/** An instruction of a program, or one byte of its data. */
interface Unit {
  readonly at: Addr
  readonly bytes: readonly Byte[]
  readonly isInstruction: boolean
}

/** What was done to a program: `length` bytes stand where those from `at` to `until` (not included) stood. */
interface Change {
  readonly at: Addr
  readonly until: Addr
  readonly length: number
  /** The bytes that have to stand there; any unless given. */
  readonly bytes?: readonly Byte[]
  /** The units that have changed places there, in their old order. */
  readonly exchanged?: readonly [Unit, Unit]
}

/**
 * Whether an image is a program but for one slip: one byte or one instruction wrong, left out or too many, or two
 * neighbouring bytes or instructions the wrong way round. What stands behind may have moved by it; jumps and addresses that
 * lead there may have moved along or not. Of a program that is the same, false.
 */
export function isOneSlipFrom(image: Image, program: Program): boolean {
  const units = unitsOf(program)
  const difference = imageSize(image) - imageSize(program.image)
  if (Math.abs(difference) > longest || isSameImage(image, program.image)) return false
  return [...changes(units, difference)].some((change) => isMadeBy(image, program.image, units, change))
}

/** Its listed instructions, and its other bytes one by one, rising. */
function unitsOf({ image, listing }: Program): readonly Unit[] {
  const starts = new Map(
    listing.flatMap(({ kind, address, bytes }) =>
      kind === 'instruction' && address !== null ? [[address, bytes.length] as const] : [],
    ),
  )
  return image.segments.flatMap(({ start, bytes }) => {
    const units: Unit[] = []
    for (let i = 0; i < bytes.length;) {
      const length = starts.get(start + i)
      const own = [...bytes.subarray(i, i + (length ?? 1))]
      units.push({ at: start + i, bytes: own, isInstruction: length !== undefined })
      i += own.length
    }
    return units
  })
}

function* changes(units: readonly Unit[], difference: number): Generator<Change> {
  for (const [i, unit] of units.entries()) {
    const { at, bytes } = unit
    const until = at + bytes.length
    if (bytes.length + difference >= 0) yield { at, until, length: bytes.length + difference }
    if (difference > 0) {
      yield { at, until: at, length: difference }
      yield { at: until, until, length: difference }
    }
    const next = units[i + 1]
    if (next?.at !== until || difference !== 0) continue
    const both = bytes.length + next.bytes.length
    yield { at, until: at + both, length: both, exchanged: [unit, next] }
    const [last = 0, first = 0] = [bytes.at(-1), next.bytes[0]]
    yield { at: until - 1, until: until + 1, length: 2, bytes: [first, last] }
  }
}

/** Whether an image is what a change makes of a program. */
function isMadeBy(image: Image, program: Image, units: readonly Unit[], change: Change): boolean {
  if (change.bytes?.some((byte, i) => byteAt(image, change.at + i) !== byte) === true) return false
  const moved = movedBy(program, change)
  const leads = leadsTo(change, moved)
  return units.every((unit) => {
    const isChanged = unit.at < change.until && unit.at + unit.bytes.length > change.at
    return isChanged && change.exchanged === undefined
      ? restStands(image, unit, change)
      : isUnitAt(moved(unit.at), image, unit, leads)
  })
}

/** Where what stood at an address stands after a change. */
function movedBy({ segments }: Image, { at, until, length, exchanged }: Change): (address: Addr) => Addr {
  if (exchanged !== undefined) {
    const [{ bytes: first }, second] = exchanged
    return (address) =>
      address < at || address >= until
        ? address
        : address < second.at
          ? address + second.bytes.length
          : address - first.length
  }
  const segment = segments.find(({ start, bytes }) => at >= start && at <= start + bytes.length)
  const end = segment === undefined ? 0 : segment.start + segment.bytes.length
  return (address) => (address >= until && address < end ? address + length - (until - at) : address)
}

/** Where what led to an address may lead after a change: to the same place, to what stood there, or to where the two that changed places meet. */
function leadsTo({ at, exchanged }: Change, moved: (address: Addr) => Addr): (address: Addr) => readonly Addr[] {
  if (exchanged === undefined) return (address) => [address, moved(address)]
  const [, second] = exchanged
  const between = at + second.bytes.length
  return (address) => [address, moved(address), ...(address === second.at ? [between] : [])]
}

/** Of a unit that a change takes a part of, the other part. */
function restStands(image: Image, { at, bytes }: Unit, change: Change): boolean {
  return bytes.every((byte, i) => {
    const isInside = at + i >= change.at && at + i < change.until
    return isInside || byteAt(image, at + i) === byte
  })
}

/** Whether a unit stands somewhere; an address in it may have moved along. */
function isUnitAt(
  to: Addr,
  image: Image,
  { at, bytes, isInstruction }: Unit,
  leads: (address: Addr) => readonly Addr[],
): boolean {
  const found = bytes.map((_, i) => byteAt(image, to + i))
  const differing = bytes.flatMap((byte, i) => (found[i] === byte ? [] : [i]))
  if (differing.length === 0) return true
  if (!isInstruction || found.includes(null)) return false
  const last = bytes.length - 1
  const isIn = (from: number): boolean => differing.every((i) => i >= from)
  const [opcode = 0, displacement = 0] = bytes
  if (relative.includes(opcode) && isIn(1)) {
    const target = at + 2 + signed(displacement)
    return leads(target).some((each) => ((each - to - 2) & 0xff) === found[1])
  }
  if (bytes.length < 3 || !isIn(last - 1)) return false
  return leads(word(bytes[last - 1], bytes[last])).includes(word(found[last - 1], found[last]))
}

/** DJNZ, JR, JR NZ, JR Z, JR NC, JR C. */
const relative = [0x10, 0x18, 0x20, 0x28, 0x30, 0x38]

function signed(byte: Byte): number {
  return byte < 128 ? byte : byte - 256
}

function word(low: Byte | null = 0, high: Byte | null = 0): number {
  return (low ?? 0) | ((high ?? 0) << 8)
}
