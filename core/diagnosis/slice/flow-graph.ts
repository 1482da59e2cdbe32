import type { Addr, Before } from '../../cpu/index.ts'
import type { History } from './history.ts'

/** Where an interrupt led the program, as the firmware's hook stands at the end of the run; null for nowhere in it. */
function handlerOf({ recording, request }: History): Addr | null {
  const hook = request.profile.layout.interruptHook
  if (hook === null) return null
  const { memory } = recording.result
  const handler = (memory[hook] ?? 0) | ((memory[hook + 1] ?? 0) << 8)
  const isLoaded = request.image.segments.some(({ start, bytes }) => handler >= start && handler < start + bytes.length)
  return isLoaded ? handler : null
}

interface Node {
  readonly address: Addr
  /** Places in the list of nodes; -1 is the end of the program. */
  readonly next: readonly number[]
}

/** What a branch may have kept from happening: the parts of registers that would have been set, and whether memory would. */
export interface Skipped {
  readonly parts: number
  readonly isStore: boolean
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
  #resting = new Map<Addr, Skipped>()

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

  /** What the instructions that rest on a branch could have made, had it gone their way. */
  get skipped(): ReadonlyMap<Addr, Skipped> {
    return this.#resting
  }

  /** The addresses to which an instruction leads, as far as its bytes tell; firmware left out. */
  successorsOf(address: Addr): readonly Addr[] {
    const { jump, length, text } = this.#history.flowAt(address)
    const after = (address + length) & 0xffff
    if (text === 'HALT') return this.#goesOnAfterHalt ? [after] : []
    if (jump === null) return [after]
    const target = jump.isFixed ? [jump.to(this.#before(address, length))] : []
    const isCall = /^(CALL|RST)\b/.test(text)
    const targets = target.filter((each) => !this.#history.isRom(each))
    return jump.when !== null || isCall ? [...targets, after] : targets
  }

  /** Every address that some way of the program leads to. */
  get addresses(): Iterable<Addr> {
    return this.#deciding.keys()
  }

  #before(address: Addr, length: number): Before {
    const { memoryAtStart, recording } = this.#history
    const bytes = Array.from({ length }, (_, i) => memoryAtStart[(address + i) & 0xffff] ?? 0)
    return { registers: { ...recording.result.registers, pc: address }, bytes, read: (at) => memoryAtStart[at] ?? 0 }
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
      return { address, next: known.length < next.length || next.length === 0 ? [...known, -1] : known }
    })
    this.#deciding = decidersIn(withWaysOut(nodes))
    this.#resting = new Map()
    for (const [address, deciders] of this.#deciding) {
      const { writes, memoryWrites, text } = this.#history.flowAt(address)
      const isStore = memoryWrites.length > 0 && !/^(PUSH|CALL|RST)\b/.test(text)
      for (const each of deciders) {
        const known = this.#resting.get(each)
        this.#resting.set(each, {
          parts: (known?.parts ?? 0) | writes,
          isStore: (known?.isStore ?? false) || isStore,
        })
      }
    }
  }
}

/** An endless loop has no way to the end: its jumps back count as one, so that each node has one. */
function withWaysOut(nodes: readonly Node[]): readonly Node[] {
  const before = nodes.map((): number[] => [])
  for (const [at, { next }] of nodes.entries()) for (const each of next) before[each]?.push(at)
  const leadsOut = nodes.map(({ next }) => next.includes(-1))
  const waiting = [...leadsOut.keys()].filter((at) => leadsOut[at])
  for (let at = waiting.pop(); at !== undefined; at = waiting.pop()) {
    for (const each of before[at] ?? []) {
      if (leadsOut[each] === true) continue
      leadsOut[each] = true
      waiting.push(each)
    }
  }
  return nodes.map((node, at) => {
    const isBack = node.next.some((next) => (nodes[next]?.address ?? 0) <= node.address)
    return leadsOut[at] === true || !isBack ? node : { ...node, next: [...node.next, -1] }
  })
}

/** For each node the branches it rests on. */
function decidersIn(nodes: readonly Node[]): Map<Addr, ReadonlySet<Addr>> {
  const always = alwaysBehind(nodes)
  const deciding = new Map<Addr, Set<Addr>>(nodes.map(({ address }) => [address, new Set<Addr>()]))
  for (const [at, node] of nodes.entries()) {
    if (node.next.length < 2) continue
    for (const next of node.next) {
      if (next < 0) continue
      for (const [other, { address }] of nodes.entries()) {
        const isSure = other === next || has(always[next], other)
        if (isSure && (other === at || !has(always[at], other))) deciding.get(address)?.add(node.address)
      }
    }
  }
  return deciding
}

/** For each node the others that every way from it to the end comes to, as bits. */
function alwaysBehind(nodes: readonly Node[]): readonly Uint32Array[] {
  const words = Math.ceil(nodes.length / 32)
  const sets = nodes.map(() => new Uint32Array(words).fill(0xffff_ffff))
  for (let isChanging = true; isChanging;) {
    isChanging = false
    for (let at = nodes.length - 1; at >= 0; at--) {
      const set = sets[at]
      const node = nodes[at]
      if (set === undefined || node === undefined) continue
      for (let word = 0; word < words; word++) {
        let common = 0xffff_ffff
        for (const next of node.next) {
          const own = next >= 0 && next >>> 5 === word ? 1 << (next & 31) : 0
          common &= next < 0 ? 0 : (sets[next]?.[word] ?? 0) | own
        }
        if (common >>> 0 !== set[word]) {
          set[word] = common
          isChanging = true
        }
      }
    }
  }
  return sets
}

function has(set: Uint32Array | undefined, at: number): boolean {
  return (((set?.[at >>> 5] ?? 0) >>> (at & 31)) & 1) === 1
}
