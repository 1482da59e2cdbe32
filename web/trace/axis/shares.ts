import type { Lane } from '../model/lane.ts'
import { type Runs, indexAt } from '../model/runs.ts'
import type { Span } from '../model/span.ts'

const wide = 256

/**
 * How long each of some rows was on: a value of the lane belongs to the rows whose bits its mask has. Sums kept for each
 * 256 runs make any stretch cheap, however many runs it has.
 */
export class Shares {
  readonly rows: number
  readonly #runs: Runs
  readonly #maskOf: (value: number) => number
  /** Time spent in each row before each block. */
  readonly #before: Float64Array

  constructor(runs: Runs, rows: number, maskOf: (value: number) => number) {
    this.rows = rows
    this.#runs = runs
    this.#maskOf = maskOf
    const blocks = Math.ceil(runs.starts.length / wide)
    this.#before = new Float64Array((blocks + 1) * rows)
    const spent = new Float64Array(rows)
    for (let i = 0; i < runs.starts.length; i += 1) {
      if (i % wide === 0) this.#before.set(spent, (i / wide) * rows)
      this.#add(spent, i, runs.starts[i] ?? 0, runs.starts[i + 1] ?? runs.end)
    }
    this.#before.set(spent, blocks * rows)
  }

  /** For each row and pixel the share of the pixel's time that was spent in it: `cover[row * width + x]`, 0 to 1. */
  coverage(span: Span, width: number): Float32Array {
    const { rows } = this
    const { starts, end } = this.#runs
    const cover = new Float32Array(rows * width)
    const pixel = (span.to - span.from) / width
    const spent = new Float64Array(rows)
    let i = Math.max(0, indexAt(starts, span.from))
    for (let x = 0; x < width; x += 1) {
      const from = span.from + x * pixel
      const to = Math.min(span.from + (x + 1) * pixel, end)
      if (to <= from || i >= starts.length) break
      spent.fill(0)
      const last = Math.max(i, indexAt(starts, to))
      if (last - i <= 2 * wide) for (let k = i; k <= last; k += 1) this.#addWithin(spent, k, from, to)
      else {
        const [first, after] = [Math.floor(i / wide) + 1, Math.floor(last / wide)]
        for (let k = i; k < first * wide; k += 1) this.#addWithin(spent, k, from, to)
        for (let row = 0; row < rows; row += 1)
          spent[row] =
            (spent[row] ?? 0) + (this.#before[after * rows + row] ?? 0) - (this.#before[first * rows + row] ?? 0)
        for (let k = after * wide; k <= last; k += 1) this.#addWithin(spent, k, from, to)
      }
      for (let row = 0; row < rows; row += 1) cover[row * width + x] = (spent[row] ?? 0) / pixel
      i = last
    }
    return cover
  }

  #addWithin(spent: Float64Array, k: number, from: number, to: number): void {
    const { starts, end } = this.#runs
    this.#add(spent, k, Math.max(from, starts[k] ?? 0), Math.min(to, starts[k + 1] ?? end))
  }

  #add(spent: Float64Array, k: number, from: number, to: number): void {
    if (to <= from) return
    let mask = this.#maskOf(this.#runs.values[k] ?? 0)
    for (let row = 0; mask !== 0; row += 1, mask >>>= 1)
      if ((mask & 1) === 1) spent[row] = (spent[row] ?? 0) + to - from
  }
}

const known = new WeakMap<Lane, Shares>()

/** One row for each line of the lane; made at the first look. */
export function bitShares(lane: Lane & { readonly kind: 'bits' }): Shares {
  const found = known.get(lane) ?? new Shares(lane.runs, lane.names.length, (value) => value)
  known.set(lane, found)
  return found
}
