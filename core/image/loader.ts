import type { Addr, Byte } from '../cpu/index.ts'
import { byteDigits, showCount, showRange, showWord } from './digits.ts'
import { Cells } from './cells.ts'
import type { Image } from './image.ts'
import type { AddressRange } from './make-image.ts'
import type { ProblemList } from './problem-list.ts'
import type { Place } from './problem.ts'

/** Addresses that hold something else, both ends included; `holds` names it in a sentence: `the digit buffer`. */
export interface ReservedRange extends AddressRange {
  readonly holds: string
}

/** Where bytes may stand and how many there may be. */
export interface LoadLimits {
  /** Ranges that bytes may stand in, both ends included. Left out: anywhere from 0000h to FFFFh. */
  readonly allowed?: readonly AddressRange[]
  /** Ranges that no byte may stand in, whatever `allowed` says. */
  readonly reserved?: readonly ReservedRange[]
  /** Most bytes an image may hold; 4096 when left out. */
  readonly maxBytes?: number
  /** What a byte that stands there already with the same value is; a different value is always an error. */
  readonly sameAgain?: 'error' | 'warning' | 'silent'
}

/** Most bytes an image holds unless a caller says otherwise. */
export const defaultMaxBytes = 4096

/** Memory while a program is read into it: which byte stands where, and which line of the text put it there. */
export class Loader {
  readonly #problems: ProblemList
  readonly #allowed: readonly AddressRange[] | null
  readonly #reserved: readonly ReservedRange[]
  readonly #maxBytes: number
  readonly #sameAgain: 'error' | 'warning' | 'silent'
  readonly #cells = new Cells()
  #size = 0
  #isFull = false

  constructor(problems: ProblemList, limits: LoadLimits = {}) {
    this.#problems = problems
    this.#allowed = limits.allowed ?? null
    this.#reserved = limits.reserved ?? []
    this.#maxBytes = limits.maxBytes ?? defaultMaxBytes
    this.#sameAgain = limits.sameAgain ?? 'error'
  }

  /** Bytes put so far, each address counted once. */
  get size(): number {
    return this.#size
  }

  /** True once a byte was turned away because the image may hold no more; that is noted once as an error. */
  get isFull(): boolean {
    return this.#isFull
  }

  /** Puts bytes from `address` upwards. Those that may not stand where they would are left out and noted, once a call. */
  put(address: number, bytes: ArrayLike<Byte>, at: Place): void {
    const last = address + bytes.length - 1
    if (bytes.length === 0) return
    if (last > 0xffff) this.#notePastEnd(address, bytes.length, at)
    this.#noteOutside(address, Math.min(last, 0xffff), at)

    let clash = null as { address: Addr; line: number; there: Byte; wanted: Byte } | null
    let again = null as { from: Addr; to: Addr; line: number } | null
    for (let i = 0; i < bytes.length && address + i <= 0xffff; i += 1) {
      const cell = address + i
      const byte = bytes[i] ?? 0
      const line = this.#cells.ownerAt(cell)
      if (line !== 0) {
        const there = this.#cells.byteAt(cell)
        if (there === byte) again = { from: again?.from ?? cell, to: cell, line: again?.line ?? line }
        else clash ??= { address: cell, line, there, wanted: byte }
        continue
      }
      if (this.#size >= this.#maxBytes) {
        this.#noteFull(cell, at)
        break
      }
      this.#cells.put(cell, byte, at.line)
      this.#size += 1
    }
    if (clash !== null) this.#noteClash(clash, at)
    else if (again !== null) this.#noteAgain(again, at)
  }

  /** What has been put so far. */
  image(): Image {
    return { segments: this.#cells.segments() }
  }

  #notePastEnd(address: number, count: number, at: Place): void {
    this.#problems.error(at, {
      code: 'past-end',
      found: `${showCount(count, 'byte')} from ${address > 0xffff ? `${address.toString(16).toUpperCase()}h` : showWord(address)}`,
      allowed: '0000h to FFFFh',
      message: `These bytes reach past FFFFh, the last address of a Z80.`,
    })
  }

  #noteOutside(from: Addr, to: Addr, at: Place): void {
    if (from > to) return
    const allowed = (this.#allowed ?? [{ from: 0, to: 0xffff }])
      .map((range) => showRange(range.from, range.to))
      .join(' and ')
    const outside = this.#allowed === null ? null : firstOutside(from, to, this.#allowed)
    if (outside !== null) {
      const found = showRange(outside.from, outside.to)
      const message = `No byte may stand at ${found}. A program may stand in ${allowed}.`
      this.#problems.error(at, { code: 'out-of-place', found, allowed, message })
      return
    }
    const taken = this.#reserved.find((range) => range.from <= to && range.to >= from)
    if (taken === undefined) return
    const found = showRange(Math.max(from, taken.from), Math.min(to, taken.to))
    const place = showRange(taken.from, taken.to)
    const message = `No byte may stand at ${found}: ${place} is for ${taken.holds}.`
    this.#problems.error(at, { code: 'reserved', found, allowed: `${allowed} but for ${place}`, message })
  }

  #noteFull(address: Addr, at: Place): void {
    if (this.#isFull) return
    this.#isFull = true
    this.#problems.error(at, {
      code: 'too-many-bytes',
      found: `more than ${showCount(this.#maxBytes, 'byte')}`,
      allowed: `up to ${showCount(this.#maxBytes, 'byte')}`,
      message: `The program has more than ${showCount(this.#maxBytes, 'byte')}, the most that may be loaded. The byte for ${showWord(address)} is the first one too many.`,
    })
  }

  #noteClash(clash: { address: Addr; line: number; there: Byte; wanted: Byte }, at: Place): void {
    const where = showWord(clash.address)
    this.#problems.error(at, {
      code: 'overlap',
      found: `${byteDigits(clash.wanted)} for ${where}, where line ${clash.line} has put ${byteDigits(clash.there)}`,
      allowed: 'one byte for each address',
      message: `Two different bytes for ${where}: line ${clash.line} has put ${byteDigits(clash.there)} there, this line wants ${byteDigits(clash.wanted)}.`,
    })
  }

  #noteAgain(again: { from: Addr; to: Addr; line: number }, at: Place): void {
    if (this.#sameAgain === 'silent') return
    const where = showRange(again.from, again.to)
    this.#problems[this.#sameAgain](at, {
      code: 'overlap',
      found: `${where} a second time`,
      allowed: 'one byte for each address',
      message: `${where} was filled by line ${again.line} already. This line puts the same there again.`,
    })
  }
}

/** The first run of addresses from `from` to `to` that no range takes in. */
function firstOutside(from: Addr, to: Addr, ranges: readonly AddressRange[]): AddressRange | null {
  const isInside = (address: Addr) => ranges.some((range) => address >= range.from && address <= range.to)
  // Only the ends of ranges can be where inside changes to outside.
  const edges = ranges.flatMap((range) => [range.from, range.to + 1]).filter((edge) => edge > from && edge <= to)
  const steps = [from, ...edges.sort((a, b) => a - b), to + 1]
  let start: Addr | null = null
  for (const step of steps) {
    const inside = step <= to && isInside(step)
    if (start === null && step <= to && !inside) start = step
    if (start !== null && (inside || step > to)) return { from: start, to: step - 1 }
  }
  return null
}
