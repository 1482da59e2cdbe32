import type { Addr } from '../../cpu/index.ts'

/** An instruction in the graph of a program. */
export interface Node {
  readonly address: Addr
  /** Places in the list of nodes; -1 is the end of the program. */
  readonly next: readonly number[]
}

/** One way on from a branch, with what it leads to and another way need not. */
export interface Side {
  readonly first: Addr
  /** Parts of the registers that are set there. */
  readonly parts: number
  /** Instructions that write to memory there, or farther on, in subroutines too. */
  readonly stores: readonly Addr[]
}

/** A branch by its sides; `parts` and `stores` are those of all of them. */
export interface Sides extends Omit<Side, 'first'> {
  readonly sides: readonly Side[]
}

/** Nodes to which one way from a branch always comes and another need not. */
interface Region {
  /** Places in the list of nodes. */
  readonly branch: number
  readonly first: number
  readonly nodes: readonly number[]
}

/** An endless loop has no way to the end: its jumps back count as one, so that each node has one. */
export function withWaysOut(nodes: readonly Node[]): readonly Node[] {
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

/** The regions of every branch: a way to the end of the program has none. */
export function regionsIn(nodes: readonly Node[]): readonly Region[] {
  const always = alwaysBehind(nodes)
  return nodes.flatMap(({ next }, branch) => {
    if (next.length < 2) return []
    return next
      .filter((first) => first >= 0)
      .map((first): Region => {
        const isIn = (at: number): boolean =>
          (at === first || has(always[first], at)) && (at === branch || !has(always[branch], at))
        return { branch, first, nodes: [...nodes.keys()].filter(isIn) }
      })
  })
}

/** For each node the branches it rests on. */
export function decidersIn(nodes: readonly Node[], regions: readonly Region[]): Map<Addr, ReadonlySet<Addr>> {
  const deciders = nodes.map(() => new Set<Addr>())
  for (const { branch, nodes: own } of regions) {
    for (const at of own) deciders[at]?.add(nodes[branch]?.address ?? 0)
  }
  return new Map(nodes.map(({ address }, at) => [address, deciders[at] ?? new Set()]))
}

/** What each way on from each branch leads to. */
export function sidesIn(
  nodes: readonly Node[],
  regions: readonly Region[],
  effectOf: (address: Addr) => { readonly parts: number; readonly isStore: boolean },
): Map<Addr, Sides> {
  const effects = nodes.map(({ address }) => effectOf(address))
  const byBranch = new Map<number, Region[]>()
  for (const region of regions) byBranch.set(region.branch, [...(byBranch.get(region.branch) ?? []), region])
  const storesFrom = (region: Region): readonly Addr[] => {
    const seen = new Set([region.branch])
    const stores = new Set<Addr>()
    const waiting = [region]
    for (let each = waiting.pop(); each !== undefined; each = waiting.pop()) {
      for (const at of each.nodes) {
        if (effects[at]?.isStore === true) stores.add(nodes[at]?.address ?? 0)
        if (seen.has(at)) continue
        seen.add(at)
        waiting.push(...(byBranch.get(at) ?? []))
      }
    }
    return [...stores]
  }
  const sides = new Map<Addr, Sides>()
  for (const [branch, own] of byBranch) {
    const each = own.map((region): Side => ({
      first: nodes[region.first]?.address ?? 0,
      parts: region.nodes.reduce((sum, at) => sum | (effects[at]?.parts ?? 0), 0),
      stores: storesFrom(region),
    }))
    sides.set(nodes[branch]?.address ?? 0, {
      sides: each,
      parts: each.reduce((sum, { parts }) => sum | parts, 0),
      stores: [...new Set(each.flatMap(({ stores }) => stores))],
    })
  }
  return sides
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
