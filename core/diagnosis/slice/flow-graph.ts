import type { Addr } from '../../cpu/index.ts'
import type { History } from './history.ts'
import { decidersIn, regionsIn, sidesIn, withWaysOut, type Node, type Sides } from './regions.ts'
import { isStore } from './store-reach.ts'

/** Where an interrupt led the program, as the firmware's hook stands at the end of the run; null for nowhere in it. */
export function handlerOf({ recording, request }: History): Addr | null {
  const hook = request.profile.layout.interruptHook
  if (hook === null) return null
  const { memory } = recording.result
  const handler = (memory[hook] ?? 0) | ((memory[hook + 1] ?? 0) << 8)
  const isLoaded = request.image.segments.some(({ start, bytes }) => handler >= start && handler < start + bytes.length)
  return isLoaded ? handler : null
}

/** A program is at most 4 KB; whatever is longer is looked at no further. */
const mostNodes = 4_096

/**
 * Which branches decide whether an instruction is executed: those from which one way always comes to it and another need
 * not. A call counts as a branch, so that what a subroutine does rests on the call. Firmware is left out: it is asked
 * for by its call.
 */
export class FlowGraph {
  readonly #history: History
  readonly #roots = new Set<Addr>()
  readonly #goesOnAfterHalt: boolean
  #deciding = new Map<Addr, ReadonlySet<Addr>>()
  #sides = new Map<Addr, Sides>()

  constructor(history: History) {
    this.#history = history
    const { given, image, entry } = history.request
    this.#goesOnAfterHalt = given.isTimerOn || image.segments.some(({ bytes }) => bytes.includes(0xfb))
    this.#roots.add(entry)
    const handler = handlerOf(history)
    if (handler !== null) this.#roots.add(handler)
    this.#build()
  }

  /** Branches that an instruction rests on, by address; none for what is always executed. */
  decidersOf(address: Addr): ReadonlySet<Addr> {
    if (!this.#deciding.has(address)) {
      // It was gone to in a way that the bytes do not tell: JP (HL), RET to a pushed address, an interrupt.
      this.#roots.add(address)
      this.#build()
    }
    return this.#deciding.get(address) ?? new Set()
  }

  /** The ways on from each branch, by its address. */
  get sides(): ReadonlyMap<Addr, Sides> {
    return this.#sides
  }

  /** The addresses to which an instruction leads, as far as its bytes tell; firmware left out. */
  successorsOf(address: Addr): readonly Addr[] {
    const { jump, length, text } = this.#history.flowAt(address)
    const after = (address + length) & 0xffff
    if (text === 'HALT') return this.#goesOnAfterHalt ? [after] : []
    if (jump === null) return [after]
    const target = jump.isFixed ? [jump.to(this.#history.before(address))] : []
    const isCall = /^(CALL|RST)\b/.test(text)
    const targets = target.filter((each) => !this.#history.isRom(each))
    return jump.when !== null || isCall ? [...targets, after] : targets
  }

  /** Every address that some way of the program leads to. */
  get addresses(): Iterable<Addr> {
    return this.#deciding.keys()
  }

  #build(): void {
    const places = new Map<Addr, number>()
    const found: { address: Addr; next: readonly Addr[] }[] = []
    const waiting = [...this.#roots]
    for (let address = waiting.pop(); address !== undefined; address = waiting.pop()) {
      if (places.has(address) || this.#history.isRom(address) || found.length >= mostNodes) continue
      const next = this.successorsOf(address)
      places.set(address, found.length)
      found.push({ address, next })
      waiting.push(...next)
    }
    const nodes = found.map(({ address, next }): Node => {
      const known = next.flatMap((each) => places.get(each) ?? [])
      const leaves = known.length < next.length || next.length === 0 || this.#mayLeave(address)
      return { address, next: leaves ? [...known, -1] : known }
    })
    const ways = withWaysOut(nodes)
    const regions = regionsIn(ways)
    this.#deciding = decidersIn(ways, regions)
    this.#sides = sidesIn(ways, regions, (address) => this.#effectOf(address))
  }

  /** `RET Z`, `JP NC,DESK`: the other way leads out of the program. */
  #mayLeave(address: Addr): boolean {
    const { jump, text } = this.#history.flowAt(address)
    if (jump === null || jump.when === null || text.startsWith('CALL')) return false
    return !jump.isFixed || this.#history.isRom(jump.to(this.#history.before(address)))
  }

  /** Whether some way leads on from an instruction and another need not: more than one, or out of the program. */
  isBranch(address: Addr): boolean {
    return this.successorsOf(address).length > 1 || this.#mayLeave(address)
  }

  /** What an instruction sets, and whether it stores: pushing is none. */
  #effectOf(address: Addr): { readonly parts: number; readonly isStore: boolean } {
    const flow = this.#history.flowAt(address)
    return { parts: flow.writes, isStore: isStore(flow) }
  }
}
