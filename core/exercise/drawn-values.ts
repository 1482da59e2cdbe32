import type { Addr, Byte } from '../cpu/index.ts'
import { storedValue } from './boundaries.ts'
import type { Draw } from './case.ts'
import type { Draws } from './draw.ts'

/** What draws put into registers and memory. */
export interface DrawnValues {
  readonly registers: Readonly<Record<string, number>>
  readonly memory: readonly { readonly at: Addr; readonly bytes: readonly Byte[] }[]
}

/** Each value in its place; of `fixed` those that are given stand instead of drawn ones. */
export function drawnValues(
  list: readonly Draw[],
  draws: Draws,
  fixed: readonly (readonly number[] | null)[] = [],
): DrawnValues {
  const registers: Record<string, number> = {}
  const memory: { at: Addr; bytes: Byte[] }[] = []
  for (const [i, each] of list.entries()) {
    const { register, at, length, from, to } = each
    const value = (place: number): number => storedValue(each, fixed[i]?.[place] ?? draws.between(from, to))
    if (register !== null) registers[register] = value(0)
    else if (at !== null) memory.push({ at, bytes: Array.from({ length }, (_, place) => value(place)) })
  }
  return { registers, memory }
}
