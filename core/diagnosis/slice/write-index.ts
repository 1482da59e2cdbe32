import { eventCode, type EventLog } from '../../board/index.ts'
import type { Addr, Byte, TState } from '../../cpu/index.ts'

/** The writes of a run by address, in the order of time. */
export class WriteIndex {
  /** Every write of the run, among other events. */
  readonly log: EventLog
  /** Where the writes to each address begin in `#events`; one place more at the end. */
  readonly #starts = new Uint32Array(0x10001)
  readonly #events: Uint32Array

  constructor(log: EventLog) {
    this.log = log
    let count = 0
    for (let i = 0; i < log.length; i++) {
      if (log.codeAt(i) !== eventCode.memoryWrite) continue
      const place = log.whereAt(i) + 1
      this.#starts[place] = (this.#starts[place] ?? 0) + 1
      count += 1
    }
    for (let i = 1; i <= 0x10000; i++) this.#starts[i] = (this.#starts[i] ?? 0) + (this.#starts[i - 1] ?? 0)
    this.#events = new Uint32Array(count)
    const next = this.#starts.slice()
    for (let i = 0; i < log.length; i++) {
      if (log.codeAt(i) !== eventCode.memoryWrite) continue
      const place = next[log.whereAt(i)] ?? 0
      next[log.whereAt(i)] = place + 1
      this.#events[place] = i
    }
  }

  isWritten(address: Addr): boolean {
    return this.#starts[address] !== this.#starts[address + 1]
  }

  /** The last write to an address before T-state `t`, as a number for `timeAt` and the others; -1 where there is none. */
  lastBefore(address: Addr, t: TState): number {
    const start = this.#starts[address] ?? 0
    let low = start
    let high = this.#starts[address + 1] ?? start
    while (low < high) {
      const middle = (low + high) >>> 1
      if (this.timeAt(this.#events[middle] ?? 0) < t) low = middle + 1
      else high = middle
    }
    return low === start ? -1 : (this.#events[low - 1] ?? -1)
  }

  timeAt(index: number): TState {
    return this.log.timeAt(index)
  }

  pcAt(index: number): Addr {
    return this.log.pcAt(index)
  }

  valueAt(index: number): Byte {
    return this.log.valueAt(index)
  }

  /** Addresses written to before T-state `t`, each with the number of its last write. */
  *lastWrites(t: TState): Iterable<{ readonly address: Addr; readonly index: number }> {
    for (let address = 0; address < 0x10000; address++) {
      if (!this.isWritten(address)) continue
      const index = this.lastBefore(address, t)
      if (index >= 0) yield { address, index }
    }
  }
}
