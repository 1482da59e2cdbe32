import type { LockedPair } from '../../../core/diagnosis/index.ts'
import type { Span } from './span.ts'

/** Two runs held together at the events that both have: between two of them time runs evenly. */
export class LockedTime {
  /** Rising in both; the starts of the runs are locked, and so are their ends. */
  readonly #knots: readonly { readonly found: number; readonly wanted: number }[]

  constructor(pairs: readonly LockedPair[], foundEnd: number, wantedEnd: number) {
    const all = [
      { found: 0, wanted: 0 },
      ...pairs.map(({ found, wanted }) => ({ found: found.t, wanted: wanted.t })).sort((a, b) => a.found - b.found),
      { found: Math.max(1, foundEnd), wanted: Math.max(1, wantedEnd) },
    ]
    const rising: { readonly found: number; readonly wanted: number }[] = []
    for (const knot of all) {
      const last = rising.at(-1)
      if (last === undefined || (knot.found > last.found && knot.wanted > last.wanted)) rising.push(knot)
    }
    this.#knots = rising
  }

  /** T-state of the wanted run that stands for this one of the found run. */
  wantedAt(found: number): number {
    return this.#across(found, 'found', 'wanted')
  }

  foundAt(wanted: number): number {
    return this.#across(wanted, 'wanted', 'found')
  }

  wantedSpan({ from, to }: Span): Span {
    const start = this.wantedAt(from)
    return { from: start, to: Math.max(start + 1, this.wantedAt(to)) }
  }

  #across(t: number, one: 'found' | 'wanted', other: 'found' | 'wanted'): number {
    const at = this.#knots.findLastIndex((knot) => knot[one] <= t)
    const before = this.#knots[Math.max(0, at)]
    const after = this.#knots[Math.max(0, at) + 1]
    if (before === undefined) return t
    // After the last knot both go on alike.
    if (after === undefined) return before[other] + t - before[one]
    return before[other] + ((t - before[one]) * (after[other] - before[other])) / (after[one] - before[one])
  }
}
