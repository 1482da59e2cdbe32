import type { Addr } from '../../cpu/index.ts'
import type { FlowGraph } from './flow-graph.ts'
import type { History } from './history.ts'
import type { LiveParts } from './live-parts.ts'
import { LostTicks, type InterruptsOff } from './lost-ticks.ts'
import type { Side } from './regions.ts'
import { StoreReach } from './store-reach.ts'

/** Of lost ticks with different reasons so many are told. */
const mostReasons = 2

/**
 * What did not happen. A byte that is asked for is open from where it was read back to where it was written: a branch in
 * between that turned away from another write to it had a part in it, and so had what kept interrupts off, if their
 * handler writes there. Of a register the same holds for branches.
 */
export class HeldBack {
  readonly #history: History
  readonly #graph: FlowGraph
  readonly #reach: StoreReach
  readonly #ticks: LostTicks
  readonly #open = new Map<Addr, number>()
  /** By the addresses of branches what their sides set, and whether they store; nothing where one has told already. */
  readonly #parts = new Int32Array(0x10000)
  readonly #stores = new Uint8Array(0x10000)
  /** How many lost ticks are not passed yet. */
  #ticksLeft: number
  #reasons = 0

  constructor(history: History, graph: FlowGraph, start: number) {
    this.#history = history
    this.#graph = graph
    this.#reach = new StoreReach(history)
    this.#ticks = new LostTicks(history, graph)
    for (const [pc, { parts, stores }] of graph.sides) {
      this.#parts[pc] = parts
      this.#stores[pc] = Number(stores.length > 0)
    }
    const after = this.#ticks.steps.findIndex((step) => step >= start)
    this.#ticksLeft = after < 0 ? this.#ticks.steps.length : after
  }

  /** Whether there is a byte that is asked for and whose writer is not come to yet. */
  get isOpen(): boolean {
    return this.#open.size > 0
  }

  /** A byte is asked for, so far from the question. */
  openByte(address: Addr, depth: number): void {
    this.#open.set(address, Math.min(this.#open.get(address) ?? depth, depth))
  }

  /** Their writer is found. */
  close(addresses: Iterable<Addr>): void {
    for (const address of addresses) this.#open.delete(address)
  }

  /** How near to the question the branch at a step is that turned away from a write; null where it did not. */
  branchAt(step: number, pc: Addr, live: LiveParts): number | null {
    const mayHold = ((this.#parts[pc] ?? 0) & live.parts) !== 0 || (this.#stores[pc] !== 0 && this.isOpen)
    if (!mayHold) return null
    const went = this.#history.pcAt(step + 1)
    const away = (this.#graph.sides.get(pc)?.sides ?? []).filter(({ first }) => first !== went)
    const depth = Math.min(...away.map((side) => this.#depthOf(side, live)))
    return Number.isFinite(depth) ? depth + 1 : null
  }

  /** The branch has told: of each only the nearest time counts. */
  tell(pc: Addr): void {
    this.#parts[pc] = 0
    this.#stores[pc] = 0
  }

  /** The last step before `step` in which a tick was lost whose handler could have written an open byte; -1 for none. */
  tickBefore(step: number): number {
    if (this.#reasons >= mostReasons || !this.isOpen || this.#ticks.stores.length === 0) return -1
    while (this.#ticksLeft > 0 && (this.#ticks.steps[this.#ticksLeft - 1] ?? 0) >= step) this.#ticksLeft -= 1
    if (this.#ticksLeft === 0 || !Number.isFinite(this.#nearest(this.#ticks.stores))) return -1
    return this.#ticks.steps[this.#ticksLeft - 1] ?? -1
  }

  /** Why the tick in that step was lost. Those lost for the same reason are passed. */
  tellTick(step: number): InterruptsOff {
    const why = this.#ticks.whyOff(step)
    const since = why.kind === 'step' ? why.step : why.kind === 'handler' ? why.from : 0
    while (this.#ticksLeft > 0 && (this.#ticks.steps[this.#ticksLeft - 1] ?? 0) >= since) this.#ticksLeft -= 1
    this.#reasons += 1
    return why
  }

  #depthOf({ parts, stores }: Side, live: LiveParts): number {
    const held = parts & live.parts
    return Math.min(held === 0 ? Infinity : live.depthOf(held), this.#nearest(stores))
  }

  /** The least distance of the open bytes that one of these instructions could have written. */
  #nearest(stores: readonly Addr[]): number {
    let depth = Infinity
    for (const [address, own] of this.#open) {
      if (own < depth && stores.some((store) => this.#reach.couldWrite(store, address))) depth = own
    }
    return depth
  }
}
