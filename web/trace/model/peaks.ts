import type { Runs } from './runs.ts'

const wide = 64

/**
 * Lowest and highest value of any stretch of runs in a few steps, however many runs there are: kept for each 64 runs, and
 * for each 64 of those.
 */
export class Peaks {
  readonly #values: Int32Array
  /** Level 1 holds blocks of 64 runs, level 2 blocks of 4096. */
  readonly #lows: readonly Int32Array[]
  readonly #highs: readonly Int32Array[]

  constructor(values: Int32Array) {
    this.#values = values
    const lows = [values]
    const highs = [values]
    for (let level = 0; level < 2; level += 1) {
      lows.push(folded(lows[level] ?? values, Math.min))
      highs.push(folded(highs[level] ?? values, Math.max))
    }
    this.#lows = lows
    this.#highs = highs
  }

  /** Over the runs `first` to `after` (excluded), of which there must be one at least. */
  within(first: number, after: number): { readonly low: number; readonly high: number } {
    let low = this.#values[first] ?? 0
    let high = low
    const take = (level: number, at: number) => {
      low = Math.min(low, this.#lows[level]?.[at] ?? low)
      high = Math.max(high, this.#highs[level]?.[at] ?? high)
    }
    for (let i = first; i < after;) {
      const level =
        i % (wide * wide) === 0 && i + wide * wide <= after ? 2 : i % wide === 0 && i + wide <= after ? 1 : 0
      const size = wide ** level
      take(level, i / size)
      i += size
    }
    return { low, high }
  }
}

function folded(values: Int32Array, pick: (a: number, b: number) => number): Int32Array {
  const blocks = new Int32Array(Math.ceil(values.length / wide))
  for (let block = 0; block < blocks.length; block += 1) {
    let found = values[block * wide] ?? 0
    const end = Math.min(values.length, (block + 1) * wide)
    for (let i = block * wide + 1; i < end; i += 1) found = pick(found, values[i] ?? found)
    blocks[block] = found
  }
  return blocks
}

const known = new WeakMap<Runs, Peaks>()

/** Made at the first look and kept as long as the runs are. */
export function peaksOf(runs: Runs): Peaks {
  const found = known.get(runs) ?? new Peaks(runs.values)
  known.set(runs, found)
  return found
}
