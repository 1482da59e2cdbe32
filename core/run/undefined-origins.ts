import { registerParts, type Addr } from '../cpu/index.ts'
import { bitsOfParts, forEachPart, type FlowPlan } from './flow-plan.ts'

/** Where a value came from: 0 defined, 1 + part of the registers at the start, 40 + bit of the second F, or these. */
export const ramOrigin = 62
const mixedOrigin = 63
const secondFlag = 40
const flags = 0xff
const secondF = registerParts.indexOf("F'")
/** The high half of a port's address goes on the bus, but no port of a board looks at it. */
const notPortHigh = ~bitsOfParts('A', 'B')
/** Parts that may not hold chance: with them everything hangs on it. */
const vital = bitsOfParts('SP', 'IFF', 'I')

/** Where the value of a byte of memory came from, and flag by flag where PUSH AF left one of F. */
export interface ByteOrigin {
  readonly label: number
  readonly flags: Uint8Array | null
}

export const definedByte: ByteOrigin = { label: 0, flags: null }

/** What an instruction makes of origins: of parts of the registers, and of the bytes that it writes, in their order. */
export interface OriginsMade {
  readonly labels: ReadonlyMap<number, number>
  readonly secondFlags: Uint8Array | null
  readonly bytes: readonly ByteOrigin[]
  /** A branch, an address or a port hangs on a value that nothing set. */
  readonly isUse: boolean
}

/** Where the values in the registers came from, part by part, as far as nothing has set them. */
export class Origins {
  /** A bit for each part whose value nothing has set. */
  parts = 0
  readonly #labels: Uint8Array
  readonly #secondFlags: Uint8Array

  constructor(of?: Origins) {
    this.parts = of?.parts ?? 0
    this.#labels = of === undefined ? new Uint8Array(registerParts.length) : of.#labels.slice()
    this.#secondFlags = of === undefined ? new Uint8Array(8) : of.#secondFlags.slice()
  }

  /** Before the first instruction, where nothing has set these. */
  static atStart(parts: number): Origins {
    const origins = new Origins()
    forEachPart(parts, (part) => origins.set(part, 1 + part))
    if ((parts & (1 << secondF)) !== 0) for (let bit = 0; bit < 8; bit++) origins.#secondFlags[bit] = secondFlag + bit
    return origins
  }

  isUndefined(part: number): boolean {
    return part === secondF ? this.#secondFlags.some((label) => label !== 0) : this.#labels[part] !== 0
  }

  /** Whether a part holds what it held at the start. */
  isOwn(part: number): boolean {
    return part === secondF
      ? this.#secondFlags.every((label, bit) => label === secondFlag + bit)
      : this.#labels[part] === 1 + part
  }

  /** The part of the registers that a part's value was copied from; null where it is another value. */
  sourceOf(part: number): number | null {
    const label = this.#labels[part] ?? 0
    return label > 0 && label < secondFlag ? label - 1 : label < ramOrigin && label !== 0 ? secondF : null
  }

  /** The same for what an instruction takes in, where that is of one part. */
  sourceIn({ reads }: FlowPlan): number | null {
    const sources = new Set<number | null>()
    forEachPart(reads & this.parts, (part) => sources.add(this.sourceOf(part)))
    const [source = null] = sources
    return sources.size === 1 ? source : null
  }

  set(part: number, label: number): void {
    this.#labels[part] = label
    if (label === 0) this.parts &= ~(1 << part)
    else this.parts |= 1 << part
    if (part === secondF && label === 0) this.#secondFlags.fill(0)
  }

  /** What an instruction makes of them. `read` tells of the bytes that it reads, in their order. */
  made(plan: FlowPlan, read: (index: number) => ByteOrigin): OriginsMade {
    const { flow } = plan
    const { jump } = flow
    const of = (from: { readonly parts: number; readonly reads: number }): number => this.#of(plan, from, read)
    const isTouched = ({ parts }: { readonly parts: number }, mask = -1): boolean => (parts & mask & this.parts) !== 0
    const isUse =
      flow.memoryReads.some(({ addressFrom }) => isTouched(addressFrom)) ||
      flow.memoryWrites.some(({ addressFrom }) => isTouched(addressFrom)) ||
      flow.portReads.some(({ addressFrom }) => isTouched(addressFrom, notPortHigh)) ||
      flow.portWrites.some((access) => isTouched(access.addressFrom, notPortHigh) || of(access.valueFrom) !== 0) ||
      (jump !== null && (of(jump.toFrom) !== 0 || (jump.when !== null && of(jump.when) !== 0)))
    const labels = new Map<number, number>()
    forEachPart(flow.writes, (part) => labels.set(part, of(flow.from(part))))
    let secondFlags: Uint8Array | null = null
    if (plan.isExchangeOfFlags) {
      secondFlags = this.#labels.slice(0, 8)
      this.#secondFlags.forEach((label, bit) => labels.set(bit, label))
      labels.set(secondF, secondFlags.some((label) => label !== 0) ? mixedOrigin : 0)
    }
    if (plan.isPopOfFlags) read(0).flags?.forEach((label, bit) => labels.set(bit, label))
    const bytes = flow.memoryWrites.map(({ valueFrom }): ByteOrigin => {
      const label = of(valueFrom)
      const isFlags = (valueFrom.parts & flags) !== 0 && (valueFrom.parts & ~flags) === 0
      return label === 0 ? definedByte : { label, flags: isFlags ? this.#labels.slice(0, 8) : null }
    })
    let isVital = false
    for (const [part, label] of labels) if (label !== 0 && ((1 << part) & vital) !== 0) isVital = true
    return { labels, secondFlags, bytes, isUse: isUse || isVital }
  }

  /** After the instruction. Gives a bit for each part that was defined before it and is no more. */
  take({ labels, secondFlags }: Pick<OriginsMade, 'labels' | 'secondFlags'>): number {
    let grown = 0
    for (const [part, label] of labels) {
      if (label !== 0 && this.#labels[part] === 0) grown |= 1 << part
      this.set(part, label)
    }
    if (secondFlags !== null) this.#secondFlags.set(secondFlags)
    return grown
  }

  /** What may be, where either may be; true where that is more than it was. */
  join(other: Origins): boolean {
    let isMore = false
    forEachPart(this.parts | other.parts, (part) => {
      const label = joined(this.#labels[part] ?? 0, other.#labels[part] ?? 0)
      if (label === this.#labels[part]) return
      this.set(part, label)
      isMore = true
    })
    other.#secondFlags.forEach((label, bit) => {
      const either = joined(this.#secondFlags[bit] ?? 0, label)
      if (either === this.#secondFlags[bit]) return
      this.#secondFlags[bit] = either
      isMore = true
    })
    return isMore
  }

  #of(
    plan: FlowPlan,
    { parts, reads }: { readonly parts: number; readonly reads: number },
    read: (index: number) => ByteOrigin,
  ): number {
    let label = 0
    let count = 0
    forEachPart(parts & this.parts, (part) => {
      label = this.#labels[part] ?? mixedOrigin
      count += 1
    })
    forEachPart(reads, (index) => {
      const byte = read(index).label
      if (byte === 0) return
      label = byte
      count += 1
    })
    if (count === 0) return 0
    return plan.isMove && bitCount(parts) + bitCount(reads) === 1 ? label : mixedOrigin
  }
}

/** One of two labels of a value. */
export function joined(one: number, other: number): number {
  return one === other ? one : mixedOrigin
}

/** One of two origins of a byte; null for `one` itself. */
export function joinedByte(one: ByteOrigin, other: ByteOrigin): ByteOrigin | null {
  const isSame = one.flags === other.flags || one.flags?.every((label, bit) => label === other.flags?.[bit]) === true
  if (one.label === other.label && (isSame || one.flags === null)) return null
  return { label: joined(one.label, other.label), flags: null }
}

function bitCount(bits: number): number {
  let count = 0
  for (let rest = bits; rest !== 0; rest &= rest - 1) count += 1
  return count
}

/** Origins of bytes of memory by their address. */
export type ByteOrigins = ReadonlyMap<Addr, ByteOrigin>
