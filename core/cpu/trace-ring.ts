import type { AnyRegister, Trace, TracedStep } from './cpu.ts'
import type { Addr, TState } from './instruction.ts'
import { lastRecord, layout, recordBehind, registerAt, traceRecord } from './layout.ts'
import { registersAt } from './register-record.ts'

const kinds = ['instruction', 'interrupt', 'halted'] as const
const recordOf = (slot: number) => layout.trace + slot * traceRecord.size
const slotAt = (record: number) => (record - layout.trace) / traceRecord.size
const { size } = traceRecord
const around = layout.traceRecords * size

/** Where a register stands in a record. */
const wordAt = {
  ...{ af: 0, bc: 2, de: 4, hl: 6, af_: 8, bc_: 10, de_: 12, hl_: 14, ix: 16, iy: 18 },
  ...{ sp: registerAt.SP - layout.registers, wz: registerAt.WZ - layout.registers, pc: layout.pc - layout.registers },
} as const
const byteAt = {
  ...{ f: 0, a: 1, c: 2, b: 3, e: 4, d: 5, l: 6, h: 7, f_: 8, a_: 9, c_: 10, b_: 11, e_: 12, d_: 13, l_: 14, h_: 15 },
  ...{ ixl: 16, ixh: 17, iyl: 18, iyh: 19 },
  ...{ i: layout.i - layout.registers, im: layout.im - layout.registers, isHalted: layout.halted - layout.registers },
  ...{ iff1: layout.iff1 - layout.registers, iff2: layout.iff2 - layout.registers },
} as const

/**
 * Reads the ring of records that an engine writes while it is traced. The engine counts time from its last entry; what the
 * times of a record are counted from is kept here.
 */
export class TraceRing implements Trace {
  readonly capacity = layout.traceRecords
  readonly #m: Uint8Array
  readonly #w: Uint16Array
  readonly #v: Int32Array
  /** For each record: the time that its own is counted from. */
  readonly #base = new Float64Array(layout.traceRecords)
  #written = 0

  /** Three views of the engine's block of bytes. */
  constructor(m: Uint8Array, w: Uint16Array, v: Int32Array) {
    this.#m = m
    this.#w = w
    this.#v = v
    this.clear()
  }

  clear() {
    this.#written = 0
    this.#v[layout.traceAt >> 2] = lastRecord
  }

  /** Where the next record will stand: to be asked before the engine goes on, and given to `take` afterwards. */
  get next(): number {
    return recordBehind(this.#v[layout.traceAt >> 2] ?? 0)
  }

  /** Takes over the records written from `first` on, `steps` in all, with times counted from `base`. */
  take(first: number, steps: number, base: TState) {
    const size = this.capacity
    const from = slotAt(first)
    // One go is longer than the ring at most once around, and then every record is of this go.
    const count = steps >= size ? size : (slotAt(this.next) - from + size) % size
    this.#base.fill(base, from, Math.min(size, from + count))
    if (from + count > size) this.#base.fill(base, 0, from + count - size)
    this.#written += count
  }

  get length(): number {
    return Math.min(this.#written, this.capacity)
  }

  at(index: number): TracedStep {
    const slot = this.#slotOf(index)
    const record = recordOf(slot)
    const m = this.#m
    const before = registersAt(m, this.#w, record, null, m[record + traceRecord.r] ?? 0, 0)
    before.q = m[record + traceRecord.flagsChanged] ? before.af & 0xff : 0
    const writes = Array.from({ length: m[record + traceRecord.writes] ?? 0 }, (_, which) => {
      const write = record + traceRecord.write + 4 * which
      return { address: this.#w[write >> 1] ?? 0, before: m[write + 2] ?? 0, value: m[write + 3] ?? 0 }
    })
    const kind = kinds[m[record + traceRecord.kind] ?? 0] ?? 'instruction'
    return { kind, t: this.#tOf(slot), pc: before.pc, before, writes }
  }

  tAt(index: number): TState {
    return this.#tOf(this.#slotOf(index))
  }

  pcAt(index: number): Addr {
    return this.#wordOf(index, layout.pc)
  }

  spAt(index: number): Addr {
    return this.#wordOf(index, registerAt.SP)
  }

  column(register: AnyRegister): (index: number) => number {
    if (register === 'r') return this.#bytes(traceRecord.r)
    if (register === 'q') {
      const f = this.#bytes(byteAt.f)
      const isChanged = this.#bytes(traceRecord.flagsChanged)
      return (index) => (isChanged(index) === 0 ? 0 : f(index))
    }
    const place = register in byteAt ? byteAt[register as keyof typeof byteAt] : undefined
    if (place !== undefined) return this.#bytes(place)
    const w = this.#w
    const { start, untilEnd } = this.#place(wordAt[register as keyof typeof wordAt])
    const first = start >> 1
    return (index) => w[first + index * (size / 2) - (index < untilEnd ? 0 : around / 2)] ?? 0
  }

  times(): (index: number) => TState {
    const base = this.#base
    const v = this.#v
    const { start, untilEnd } = this.#place(traceRecord.t)
    const first = start >> 2
    const firstSlot = this.capacity - untilEnd
    return (index) => {
      const isBeforeEnd = index < untilEnd
      const slot = firstSlot + index - (isBeforeEnd ? 0 : layout.traceRecords)
      return (base[slot] ?? 0) + (v[first + index * (size / 4) - (isBeforeEnd ? 0 : around / 4)] ?? 0)
    }
  }

  kinds(): (index: number) => number {
    return this.#bytes(traceRecord.kind)
  }

  writeCounts(): (index: number) => number {
    return this.#bytes(traceRecord.writes)
  }

  writeAt(index: number, which: number): number {
    return this.#v[(recordOf(this.#slotOf(index)) + traceRecord.write + 4 * which) >> 2] ?? 0
  }

  #bytes(place: number): (index: number) => number {
    const m = this.#m
    const { start, untilEnd } = this.#place(place)
    return (index) => m[start + index * size - (index < untilEnd ? 0 : around)] ?? 0
  }

  /** Where byte `place` of the oldest step's record stands, and how many steps stand before the end of the ring. */
  #place(place: number): { readonly start: number; readonly untilEnd: number } {
    const { length, capacity } = this
    const first = (slotAt(this.next) - length + capacity) % capacity
    return { start: recordOf(first) + place, untilEnd: capacity - first }
  }

  #slotOf(index: number): number {
    const { length, capacity } = this
    if (!(index >= 0 && index < length)) throw new RangeError(`trace: no step ${index}`)
    return (slotAt(this.next) - length + index + 2 * capacity) % capacity
  }

  #tOf(slot: number): TState {
    return (this.#base[slot] ?? 0) + (this.#v[(recordOf(slot) + traceRecord.t) >> 2] ?? 0)
  }

  #wordOf(index: number, address: number): number {
    return this.#w[(recordOf(this.#slotOf(index)) + address - layout.registers) >> 1] ?? 0
  }
}
