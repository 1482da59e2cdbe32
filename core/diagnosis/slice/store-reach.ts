import { eventCode } from '../../board/index.ts'
import type { Addr, DataFlow } from '../../cpu/index.ts'
import type { History } from './history.ts'

/** An instruction that writes through a register may write this far from where it was seen to write. */
const nearby = 8

/** Where in memory the instructions of a program may write: as their bytes say, or near to where they were seen to. */
export class StoreReach {
  readonly #history: History
  readonly #fixed = new Map<Addr, ReadonlySet<Addr> | null>()
  #seen: ReadonlyMap<Addr, { readonly from: Addr; readonly to: Addr }> | null = null

  constructor(history: History) {
    this.#history = history
  }

  /** Whether the instruction at `store` may write to `address`. One that never ran may write anywhere but into the program. */
  couldWrite(store: Addr, address: Addr): boolean {
    const fixed = this.#fixedOf(store)
    if (fixed !== null) return fixed.has(address)
    this.#seen ??= this.#spans()
    const span = this.#seen.get(store)
    if (span !== undefined) return address >= span.from - nearby && address <= span.to + nearby
    return this.#history.writes.isWritten(address) || !this.#isProgram(address)
  }

  /** Addresses that stand in the instruction itself; null where a register tells one. */
  #fixedOf(store: Addr): ReadonlySet<Addr> | null {
    const known = this.#fixed.get(store)
    if (known !== undefined) return known
    const { memoryWrites } = this.#history.flowAt(store)
    const isFixed = memoryWrites.every(({ addressFrom }) => addressFrom.parts === 0 && addressFrom.reads === 0)
    const before = this.#history.before(store)
    const fixed = isFixed ? new Set(memoryWrites.map(({ address }) => address(before))) : null
    this.#fixed.set(store, fixed)
    return fixed
  }

  #spans(): ReadonlyMap<Addr, { readonly from: Addr; readonly to: Addr }> {
    const spans = new Map<Addr, { from: Addr; to: Addr }>()
    const { log } = this.#history.writes
    for (let i = 0; i < log.length; i++) {
      if (log.codeAt(i) !== eventCode.memoryWrite) continue
      const at = log.whereAt(i)
      const span = spans.get(log.pcAt(i))
      if (span === undefined) spans.set(log.pcAt(i), { from: at, to: at })
      else {
        span.from = Math.min(span.from, at)
        span.to = Math.max(span.to, at)
      }
    }
    return spans
  }

  #isProgram(address: Addr): boolean {
    const { segments } = this.#history.request.image
    return segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
  }
}

/** Whether an instruction writes to memory, as its purpose: pushing is none. */
export function isStore({ memoryWrites, text }: DataFlow): boolean {
  return memoryWrites.length > 0 && !/^(PUSH|CALL|RST)\b/.test(text)
}
