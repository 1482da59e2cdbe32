import type { Addr } from '../cpu/index.ts'
import type { FilledMemory, Flow } from './flow.ts'

/** Names for places in an image, by address. */
export type Labels = Map<Addr, string>

/** What the names are made from. */
export interface Places {
  readonly flow: Flow
  readonly memory: FilledMemory
  readonly entry: Addr
  /** Names that must not be given again, in any spelling. */
  readonly taken: Iterable<string>
  /** Names there are already, which stay. */
  readonly known: ReadonlyMap<Addr, string>
}

/**
 * Invents a name for each place that the program goes to or uses: START, ROUTINE for what is called, LOOP for what is gone
 * back to, SKIP for what is gone on to, DATA for the rest; numbered in the order of addresses where there are several. A
 * place in the middle of an instruction gets none.
 */
export function inventLabels({ flow, memory, entry, taken, known }: Places): Labels {
  const kinds = new Map<Addr, string>()
  const canHaveName = (address: Addr) =>
    memory.isFilled(address) && (flow.instructions.has(address) || !flow.isCode(address))
  const suggest = (address: Addr, kind: string) => {
    const before = kinds.get(address)
    const isStronger = before === undefined || strength.indexOf(kind) < strength.indexOf(before)
    if (canHaveName(address) && isStronger) kinds.set(address, kind)
  }
  if (flow.instructions.has(entry)) suggest(entry, 'START')
  for (const { to, from, isCall } of flow.targets) suggest(to, isCall ? 'ROUTINE' : to <= from ? 'LOOP' : 'SKIP')
  for (const { refersTo } of flow.instructions.values()) {
    if (refersTo === null || refersTo.use === 'code') continue
    // A number is a place only if data stand there: 4000h may as well be a count.
    if (refersTo.use === 'memory' || !flow.isCode(refersTo.address)) suggest(refersTo.address, 'DATA')
  }

  const labels: Labels = new Map(known)
  const used = new Set([...taken, ...known.values()].map((name) => name.toUpperCase()))
  for (const kind of strength) {
    const addresses = [...kinds]
      .filter(([address, each]) => each === kind && !known.has(address))
      .map(([address]) => address)
      .sort((a, b) => a - b)
    let number = 0
    for (const address of addresses) {
      let name = addresses.length === 1 ? kind : ''
      while (name === '' || used.has(name)) name = `${kind}${(number += 1)}`
      used.add(name)
      labels.set(address, name)
    }
  }
  return labels
}

const strength = ['START', 'ROUTINE', 'LOOP', 'SKIP', 'DATA']
