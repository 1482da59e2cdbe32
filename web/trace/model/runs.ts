import { peaksOf } from './peaks.ts'
import type { Span } from './span.ts'

/**
 * One value over time, run-length: `values[i]` holds from `starts[i]` until the next start, the last until `end`.
 * Starts rise; two neighbours never hold the same value. Typed arrays, so that a worker hands them over without a copy.
 */
export interface Runs {
  readonly starts: Float64Array<ArrayBuffer>
  readonly values: Int32Array<ArrayBuffer>
  readonly end: number
}

/** Takes values in the order of time and keeps only where they change. */
export class RunsBuilder {
  #starts = new Float64Array(64)
  #values = new Int32Array(64)
  #length = 0

  append(t: number, value: number): void {
    const last = this.#length - 1
    if (last >= 0 && this.#values[last] === value) return
    if (last >= 0 && this.#starts[last] === t) {
      // Two values at one T-state: the later stands, and may equal the one before.
      this.#length = last
      this.append(t, value)
      return
    }
    if (this.#length === this.#starts.length) this.#grow()
    this.#starts[this.#length] = t
    this.#values[this.#length] = value
    this.#length += 1
  }

  finish(end: number): Runs {
    return { starts: this.#starts.slice(0, this.#length), values: this.#values.slice(0, this.#length), end }
  }

  #grow(): void {
    const starts = new Float64Array(this.#starts.length * 2)
    const values = new Int32Array(this.#values.length * 2)
    starts.set(this.#starts)
    values.set(this.#values)
    this.#starts = starts
    this.#values = values
  }
}

/** Index of the last start at or before `t`; −1 when `t` is before the first. */
export function indexAt(starts: Float64Array, t: number): number {
  let low = 0
  let high = starts.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((starts[middle] ?? 0) <= t) low = middle + 1
    else high = middle
  }
  return low - 1
}

/** The value at `t`; null before the first run and from `end` on. */
export function valueAt(runs: Runs, t: number): number | null {
  if (t >= runs.end) return null
  return runs.values[indexAt(runs.starts, t)] ?? null
}

/** One run, cut to a span. */
export interface Run {
  readonly from: number
  readonly to: number
  readonly value: number
}

/** The runs that touch `span`, cut to it, at most `most` of them; `left` counts those not given. */
export function runsIn(runs: Runs, span: Span, most: number): { readonly runs: readonly Run[]; readonly left: number } {
  const end = Math.min(span.to, runs.end)
  const first = Math.max(0, indexAt(runs.starts, span.from))
  const last = indexAt(runs.starts, end - Number.EPSILON * Math.max(1, Math.abs(end)))
  const found: Run[] = []
  for (let i = first; i <= last && found.length < most; i += 1) {
    const from = Math.max(runs.starts[i] ?? 0, span.from)
    const to = Math.min(runs.starts[i + 1] ?? runs.end, end)
    if (to > from) found.push({ from, to, value: runs.values[i] ?? 0 })
  }
  return { runs: found, left: Math.max(0, last - first + 1 - found.length) }
}

/** What one stretch of the screen shows, in pixels. `value` is null where several values share one pixel. */
export interface Stroke {
  readonly x: number
  readonly width: number
  readonly value: number | null
  /** The lowest and highest value in it, for lanes that draw a height. */
  readonly low: number
  readonly high: number
}

/**
 * The lane at the resolution of the screen: at most one stroke a pixel, however long the run. A pixel that holds more
 * than one run becomes a mixed stroke; neighbouring mixed pixels with the same extremes become one.
 */
export function strokes(runs: Runs, span: Span, width: number): Stroke[] {
  const drawn: Stroke[] = []
  const scale = width / (span.to - span.from)
  const pixelOf = (t: number) => Math.floor((t - span.from) * scale)
  const endX = Math.min(width, Math.ceil((runs.end - span.from) * scale))
  let i = Math.max(0, indexAt(runs.starts, span.from))
  let x = Math.max(0, pixelOf(runs.starts[i] ?? runs.end))
  while (x < endX && i < runs.starts.length) {
    const next = runs.starts[i + 1]
    const nextX = next === undefined ? endX : Math.min(endX, pixelOf(next))
    if (nextX > x) {
      const value = runs.values[i] ?? 0
      push(drawn, { x, width: nextX - x, value, low: value, high: value })
      x = nextX
      i += 1
      continue
    }
    // Several runs begin in this pixel: the last of them reaches beyond it.
    const last = lastStartingBy(runs.starts, i, (start) => pixelOf(start) <= x)
    const { low, high } = peaksOf(runs).within(i, last + 1)
    i = last
    push(drawn, { x, width: 1, value: low === high ? low : null, low, high })
    x += 1
  }
  return drawn
}

/** The last index from `first` on whose start `isWithin`; starts that are within come before those that are not. */
function lastStartingBy(starts: Float64Array, first: number, isWithin: (start: number) => boolean): number {
  let reach = 1
  while (first + reach < starts.length && isWithin(starts[first + reach] ?? 0)) reach *= 2
  let low = first + (reach >> 1)
  let high = Math.min(first + reach, starts.length)
  while (high - low > 1) {
    const middle = (low + high) >>> 1
    if (isWithin(starts[middle] ?? 0)) low = middle
    else high = middle
  }
  return low
}

function push(drawn: Stroke[], stroke: Stroke): void {
  const last = drawn.at(-1)
  const joins =
    last?.value === stroke.value &&
    last.low === stroke.low &&
    last.high === stroke.high &&
    last.x + last.width === stroke.x
  if (last !== undefined && joins) drawn[drawn.length - 1] = { ...last, width: last.width + stroke.width }
  else drawn.push(stroke)
}
