import type { Byte } from '../cpu/index.ts'
import { showCount, type Loader } from '../image/index.ts'
import { evaluate, type Scope } from './evaluate.ts'
import { encode } from './encode.ts'
import { limits } from './limits.ts'
import type { Call } from './line-reader.ts'
import type { Notes } from './notes.ts'
import type { ListingLine } from './program.ts'
import type { AssembledLine, DataItem } from './record.ts'

/** Turns lines with addresses into bytes, loads them, and writes the listing. */
export class SecondPass {
  readonly listing: ListingLine[] = []
  /** The operand of END, when there is one. */
  entry: number | null = null
  readonly #loader: Loader
  readonly #notes: Notes
  #bytes = 0

  constructor(loader: Loader, notes: Notes) {
    this.#loader = loader
    this.#notes = notes
  }

  run(lines: readonly AssembledLine[]): void {
    for (const line of lines) this.#line(line)
  }

  #line({ line, address, label, work }: AssembledLine): void {
    this.#notes.call = line.call ?? null
    const here = address ?? 0
    const scope = this.#notes.scope(here)
    let bytes: readonly Byte[] = []
    let kind: ListingLine['kind'] = 'other'
    let cycles: readonly number[] | null = null
    let cyclesNotTaken: readonly number[] | null = null
    switch (work.kind) {
      case 'instruction': {
        const { form, bytes: encoded } = encode(work, here, scope)
        bytes = encoded
        kind = 'instruction'
        cycles = form.instruction.machineCycles
        cyclesNotTaken = form.instruction.machineCyclesNotTaken ?? null
        this.#put(here, bytes, work.at)
        break
      }
      case 'data':
        bytes = this.#data(work.items, work.unit, here)
        kind = 'data'
        this.#put(here, bytes, work.at)
        break
      case 'fill': {
        const value = work.value === null ? 0 : evaluate(work.value, scope)
        const byte = fitted(value ?? 0, 1, work.value?.at ?? work.at, scope)
        if (this.#hasRoom(work.count, work.at)) bytes = new Array<Byte>(work.count).fill(byte & 0xff)
        kind = 'data'
        this.#put(here, bytes, work.at)
        break
      }
      case 'variable': {
        const value = evaluate(work.expression, this.#notes.scope(work.definition.here))
        work.definition.value = value
        work.definition.state = value === null ? 'failed' : 'known'
        break
      }
      case 'end': {
        const value = evaluate(work.expression, scope)
        if (value !== null && (value < 0 || value > 0xffff)) noteNoAddress(value, work.expression.at, scope)
        else this.entry = value
        break
      }
      case 'nothing':
    }
    this.listing.push({
      line: line.line,
      kind,
      address: address === null || address > 0xffff ? null : address,
      bytes,
      tStates: sum(cycles),
      tStatesNotTaken: sum(cyclesNotTaken),
      label,
      source: line.source,
      ...(line.call === undefined ? {} : { calledFrom: outermost(line.call) }),
    })
  }

  #data(items: readonly DataItem[], unit: 1 | 2, start: number): Byte[] {
    const bytes: Byte[] = []
    for (const item of items) {
      if (item.kind === 'text') {
        bytes.push(...item.bytes)
        continue
      }
      // `$` is the address of the value itself, not of the line.
      const scope = this.#notes.scope(start + bytes.length)
      const value = evaluate(item.expression, scope)
      const fit = fitted(value ?? 0, unit, item.expression.at, scope)
      bytes.push(fit & 0xff)
      if (unit === 2) bytes.push((fit >> 8) & 0xff)
    }
    return bytes
  }

  #put(address: number, bytes: readonly Byte[], at: Parameters<Loader['put']>[2]): void {
    if (bytes.length === 0) return
    this.#bytes += bytes.length
    if (this.#bytes <= limits.bytes && !this.#loader.isFull)
      this.#loader.put(address, bytes, { line: at.line, column: at.column, length: at.length })
  }

  #hasRoom(count: number, at: Parameters<Loader['put']>[2]): boolean {
    if (this.#bytes + count <= limits.bytes) return true
    this.#bytes += count
    this.#notes.error(at, {
      code: 'too-many-bytes',
      found: `more than ${showCount(limits.bytes, 'byte')}`,
      allowed: `up to ${showCount(limits.bytes, 'byte')}`,
      message: `With this line the program makes more than ${showCount(limits.bytes, 'byte')}, more than a Z80 has addresses.`,
    })
    return false
  }
}

/** A value for a byte or a word of data; 0 once it was noted that it does not fit. */
function fitted(value: number, unit: 1 | 2, at: Parameters<Scope['note']>[0], scope: Scope): number {
  const [least, most, what] = unit === 1 ? [-0x80, 0xff, 'a byte'] : [-0x8000, 0xffff, 'a word']
  if (value >= least && value <= most) return value
  const advice = unit === 1 && value <= 0xffff && value > 0 ? ' For a number of two bytes use DW.' : ''
  scope.note(
    at,
    'does-not-fit',
    String(value),
    `${least} to ${most}`,
    `${value} does not fit into ${what}, which holds 0 to ${most}, or ${least} to -1.${advice}`,
  )
  return 0
}

function noteNoAddress(value: number, at: Parameters<Scope['note']>[0], scope: Scope): void {
  const message = `${value} is no address to start at. Addresses go from 0000H to FFFFH.`
  scope.note(at, 'does-not-fit', String(value), '0000H to FFFFH', message)
}

function outermost(call: Call): number {
  let at = call
  while (at.outer !== null) at = at.outer
  return at.line
}

function sum(cycles: readonly number[] | null): number | null {
  return cycles === null ? null : cycles.reduce((total, each) => total + each, 0)
}
