import { attribute, type Addr } from '../cpu/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Machine } from './machine.ts'

/** One for each machine: making it new for each run costs more than many a run. */
const spare = new WeakMap<Machine, Uint8Array>()
/** From the bit of `stopAt` to bit 0. */
const stopShift = Math.log2(attribute.stopAt)

/**
 * Bytes at which a machine stops so that the instruction there can be looked at, beside the marks that others have set
 * before: those are left alone.
 */
export class LookMarks {
  readonly #attributes: Uint8Array
  /** 1 for each byte that is marked by this and nobody else. */
  readonly #own: Uint8Array
  #sharedAt: Addr | null = null

  /** Marks all memory that has no mark yet. RAM is noted as unwritten, and as undefined if `isUndefined`. */
  constructor(machine: Machine, profile: BoardProfile, isUndefined: boolean) {
    this.#attributes = machine.cpu.attributes
    this.#own = spare.get(machine) ?? new Uint8Array(0x10000)
    spare.set(machine, this.#own)
    markStart(this.#attributes, this.#own, profile, isUndefined)
  }

  /** Whether the machine was stopped at `address` by this, and not by anything else. */
  has(address: Addr): boolean {
    return this.#own[address] !== 0
  }

  /** Whether a run ends by itself at an address. */
  endsAt(address: Addr): boolean {
    return this.#own[address] === 0 && ((this.#attributes[address] ?? 0) & attribute.stopAt) !== 0
  }

  /** Where somebody else has a mark of his own too, and wants to be stopped each time. */
  get sharedAt(): Addr | null {
    return this.#sharedAt
  }

  share(address: Addr | null): void {
    const before = this.#sharedAt
    if (before === address) return
    this.#sharedAt = address
    // The other has taken its mark off.
    if (before !== null && this.#own[before] !== 0) this.add(before)
    if (address !== null && this.#own[address] !== 0) this.add(address)
  }

  /** `only`: 0, or `attribute.onlyForUndefined`. */
  add(at: Addr, only = 0): void {
    const bits = (this.#attributes[at] ?? 0) & ~attribute.onlyForUndefined
    // A byte that somebody else has marked stops the machine anyway.
    if ((bits & attribute.stopAt) !== 0 && this.#own[at] === 0 && at !== this.#sharedAt) return
    this.#own[at] = 1
    this.#attributes[at] = bits | attribute.stopAt | (at === this.#sharedAt ? 0 : only)
  }

  takeOff(at: Addr): void {
    if (this.#own[at] === 0) return
    this.#own[at] = 0
    this.#attributes[at] = (this.#attributes[at] ?? 0) & ~(attribute.stopAt | attribute.onlyForUndefined)
  }

  /** The one at `keep` stays, and is the other's alone. */
  takeOffAll(keep: Addr | null): void {
    for (let at = 0; at < 0x10000; at++) if (this.#own[at] !== 0 && at !== keep) this.takeOff(at)
    if (keep !== null) this.#own[keep] = 0
  }
}

/** Marks everything that may be executed and is not marked yet, and notes it in `own`. */
function markStart(attributes: Uint8Array, own: Uint8Array, { memory }: BoardProfile, isUndefined: boolean): void {
  const ofRam = attribute.unwritten | (isUndefined ? attribute.undefined : 0)
  // Four bytes at a time where memory begins and ends with whole words.
  const words = new Uint32Array(attributes.buffer, attributes.byteOffset, 0x4000)
  const ownWords = new Uint32Array(own.buffer, own.byteOffset, 0x4000)
  own.fill(0)
  for (const { kind, from, to } of memory) {
    const bits = attribute.stopAt | (kind === 'ram' ? ofRam : 0)
    const isWhole = (from & 3) === 0 && (to & 3) === 3
    const [target, noted, more, stop] = isWhole
      ? ([words, ownWords, bits * 0x01010101, attribute.stopAt * 0x01010101] as const)
      : ([attributes, own, bits, attribute.stopAt] as const)
    const [first, last] = isWhole ? [from >> 2, to >> 2] : [from, to]
    for (let i = first; i <= last; i++) {
      const before = target[i] ?? 0
      noted[i] = (~before & stop) >>> stopShift
      target[i] = before | more
    }
  }
}
