import type { Addr, Byte, TState } from '../cpu/index.ts'
import type { Digest } from './digest.ts'
import type { BoardEvent } from './event.ts'

/** The kinds in the order of their packed codes. */
const kinds = [
  'port-write',
  'port-read',
  'speaker-edge',
  'key',
  'interrupt',
  'interrupt-lost',
  'memory-write',
  'switches',
] as const satisfies readonly BoardEvent['kind'][]

/** Packed codes of the kinds, for readers that walk the columns of an `EventLog`. */
export const eventCode = {
  portWrite: 0,
  portRead: 1,
  speakerEdge: 2,
  key: 3,
  interrupt: 4,
  interruptLost: 5,
  memoryWrite: 6,
  switches: 7,
} as const

/**
 * Events in the order in which they happened, packed in columns: a run writes millions of them. Objects are made only
 * when one is asked for. Grows by itself; times never go back.
 */
export class EventLog implements Iterable<BoardEvent> {
  #length = 0
  #capacity = 256
  /** Length at which an event needs a second look: the log is full, or one event short of its limit. */
  #lookAt = 256
  #limit = Infinity
  #more = 0
  #onReached: () => void = () => {}
  #isFull = false
  #code = new Uint8Array(256)
  #t = new Float64Array(256)
  #pc = new Uint16Array(256)
  #where = new Uint16Array(256)
  #value = new Uint8Array(256)
  readonly #keyNames: string[] = []

  /** A log of these events, in their order; the same log when it is one already. */
  static from(events: EventLog | Iterable<BoardEvent>): EventLog {
    if (events instanceof EventLog) return events
    const log = new EventLog()
    for (const event of events) log.push(event)
    return log
  }

  /** The limit was reached. */
  get isFull(): boolean {
    return this.#isFull
  }

  get length(): number {
    return this.#length
  }

  /** The kind that a packed code stands for. */
  kindOf(code: number): BoardEvent['kind'] {
    return kinds[code] ?? 'port-write'
  }

  /** Code of the kind of event `index` (`eventCode`). */
  codeAt(index: number): number {
    return this.#code[index] ?? 0
  }

  timeAt(index: number): TState {
    return this.#t[index] ?? 0
  }

  pcAt(index: number): Addr {
    return this.#pc[index] ?? 0
  }

  /** The port or the memory address of event `index`; 0 for kinds that have none. */
  whereAt(index: number): Addr {
    return this.#where[index] ?? 0
  }

  /** The byte, the level, or 1 for a key that went down. */
  valueAt(index: number): Byte {
    return this.#value[index] ?? 0
  }

  /** Event `index`, counted from the end where negative; undefined outside. */
  at(index: number): BoardEvent | undefined {
    const i = index < 0 ? this.#length + index : index
    if (i < 0 || i >= this.#length) return undefined
    return this.#read(i)
  }

  *[Symbol.iterator](): IterableIterator<BoardEvent> {
    for (let i = 0; i < this.#length; i++) yield this.#read(i)
  }

  toArray(): BoardEvent[] {
    return Array.from({ length: this.#length }, (_, i) => this.#read(i))
  }

  filter(isWanted: (event: BoardEvent) => boolean): BoardEvent[] {
    return this.toArray().filter(isWanted)
  }

  /** Events with `from` <= t < `to`. */
  between(from: TState, to: TState): BoardEvent[] {
    const events: BoardEvent[] = []
    for (let i = this.firstFrom(from); i < this.#length && this.timeAt(i) < to; i++) events.push(this.#read(i))
    return events
  }

  /** Index of the first event at or after `t`; `length` where there is none. */
  firstFrom(t: TState): number {
    let low = 0
    let high = this.#length
    while (low < high) {
      const middle = (low + high) >>> 1
      if (this.timeAt(middle) < t) low = middle + 1
      else high = middle
    }
    return low
  }

  push(event: BoardEvent): void {
    switch (event.kind) {
      case 'port-write':
        return this.append(eventCode.portWrite, event.t, event.pc, event.port, event.value)
      case 'port-read':
        return this.append(eventCode.portRead, event.t, event.pc, event.port, event.value)
      case 'speaker-edge':
        return this.append(eventCode.speakerEdge, event.t, event.pc, 0, event.level)
      case 'key':
        return this.append(eventCode.key, event.t, 0, this.#nameIndex(event.key), event.isDown ? 1 : 0)
      case 'interrupt':
        return this.append(eventCode.interrupt, event.t, event.pc, 0, 0)
      case 'interrupt-lost':
        return this.append(eventCode.interruptLost, event.t, 0, 0, 0)
      case 'memory-write':
        return this.append(eventCode.memoryWrite, event.t, event.pc, event.address, event.value)
      case 'switches':
        return this.append(eventCode.switches, event.t, 0, 0, event.value)
    }
  }

  /** The packed form of `push`, for the hot path. */
  append(code: number, t: TState, pc: Addr, where: Addr, value: Byte): void {
    const i = this.#length
    if (i >= this.#lookAt) this.#look(i)
    this.#code[i] = code
    this.#t[i] = t
    this.#pc[i] = pc
    this.#where[i] = where
    this.#value[i] = value
    this.#length = i + 1
  }

  /** The same for an event that is noticed after later ones: it goes behind the last one at or before its time. */
  insert(code: number, t: TState, pc: Addr, where: Addr, value: Byte): void {
    this.append(code, t, pc, where, value)
    for (let i = this.#length - 1; i > 0 && this.timeAt(i - 1) > t; i--) {
      for (const column of [this.#code, this.#t, this.#pc, this.#where, this.#value]) {
        const later = column[i - 1] ?? 0
        column[i - 1] = column[i] ?? 0
        column[i] = later
      }
    }
  }

  /** `onReached` is told once, by the event that makes the log `events` long or longer; weights count with it. */
  setLimit(events: number, onReached: () => void): void {
    this.#limit = events
    this.#more = 0
    this.#isFull = false
    this.#onReached = onReached
    this.#lookAt = Math.min(this.#capacity, events - 1)
  }

  /** The last event counts as `more` others too towards the limit: those who read it have more to do. */
  addWeight(more: number): void {
    this.#more += more
    if (this.#limit === Infinity) return
    this.#limit -= more
    if (this.#length >= this.#limit) this.#reach()
    this.#lookAt = Math.min(this.#capacity, this.#limit - 1)
  }

  /** What a limit set before the first event is held against: the events, some of them counting for more than one. */
  get weight(): number {
    return this.#length + this.#more
  }

  /** Take back everything from event `length` on. */
  truncate(length: number): void {
    if (length < this.#length) this.#length = length
  }

  /**
   * Drop the events before T-state `t`, for a machine that runs for hours; the last write to each port stays, since the
   * port still holds it. Returns how many were dropped.
   */
  forgetBefore(t: TState): number {
    const first = this.firstFrom(t)
    const lastWrite = new Map<number, number>()
    for (let i = 0; i < first; i++) if (this.codeAt(i) === eventCode.portWrite) lastWrite.set(this.whereAt(i), i)
    const kept = [...lastWrite.values()].sort((a, b) => a - b)
    const dropped = first - kept.length
    if (dropped === 0) return 0
    for (const column of [this.#code, this.#t, this.#pc, this.#where, this.#value]) {
      kept.forEach((from, to) => (column[to] = column[from] ?? 0))
      column.copyWithin(kept.length, first, this.#length)
    }
    this.#length -= dropped
    return dropped
  }

  /** A log of the events from `first` on. */
  copyFrom(first: number): EventLog {
    const copy = new EventLog()
    for (let i = Math.max(0, first); i < this.#length; i++) copy.push(this.#read(i))
    return copy
  }

  /** Whether another log holds the same events in the same order; with `isOfCourse` whatever bytes and levels they have. */
  equals(other: EventLog, isOfCourse = false): boolean {
    if (this.#length !== other.#length || this.#keyNames.join() !== other.#keyNames.join()) return false
    for (let i = 0; i < this.#length; i++) {
      const isSame = this.#t[i] === other.#t[i] && this.#code[i] === other.#code[i] && this.#pc[i] === other.#pc[i]
      if (!isSame) return false
      if (!isOfCourse && (this.#value[i] !== other.#value[i] || this.#where[i] !== other.#where[i])) return false
    }
    return true
  }

  /** Everything in the log, into `digest`. */
  digestInto(digest: Digest): void {
    for (let i = 0; i < this.#length; i++) {
      const where = this.codeAt(i) === eventCode.key ? 0 : this.whereAt(i)
      digest.byte(this.codeAt(i)).count(this.timeAt(i)).word(this.pcAt(i)).word(where).byte(this.valueAt(i))
      if (this.codeAt(i) === eventCode.key) digest.text(this.#keyNames[this.whereAt(i)] ?? '')
    }
  }

  #read(i: number): BoardEvent {
    const t = this.timeAt(i)
    const pc = this.pcAt(i)
    const where = this.whereAt(i)
    const value = this.valueAt(i)
    const kind = this.kindOf(this.codeAt(i))
    switch (kind) {
      case 'port-write':
      case 'port-read':
        return { kind, t, pc, port: where, value }
      case 'speaker-edge':
        return { kind, t, pc, level: value === 0 ? 0 : 1 }
      case 'key':
        return { kind, t, key: this.#keyNames[where] ?? '', isDown: value !== 0 }
      case 'interrupt':
        return { kind, t, pc }
      case 'interrupt-lost':
        return { kind, t }
      case 'memory-write':
        return { kind, t, pc, address: where, value }
      case 'switches':
        return { kind, t, value }
    }
  }

  #nameIndex(name: string): number {
    const known = this.#keyNames.indexOf(name)
    return known >= 0 ? known : this.#keyNames.push(name) - 1
  }

  /** Called before event `i` is written when there is no room for it, or it is the last one that is allowed. */
  #look(i: number): void {
    if (i === this.#capacity) this.#grow()
    if (i + 1 >= this.#limit) this.#reach()
    this.#lookAt = Math.min(this.#capacity, this.#limit - 1)
  }

  #reach(): void {
    this.#limit = Infinity
    this.#isFull = true
    this.#onReached()
  }

  #grow(): void {
    this.#capacity *= 2
    const longer = <T extends { set(from: T): void }>(column: T, fresh: T): T => {
      fresh.set(column)
      return fresh
    }
    this.#code = longer(this.#code, new Uint8Array(this.#capacity))
    this.#t = longer(this.#t, new Float64Array(this.#capacity))
    this.#pc = longer(this.#pc, new Uint16Array(this.#capacity))
    this.#where = longer(this.#where, new Uint16Array(this.#capacity))
    this.#value = longer(this.#value, new Uint8Array(this.#capacity))
  }
}
