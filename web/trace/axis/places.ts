import type { Lane } from '../model/lane.ts'
import { type Runs, indexAt } from '../model/runs.ts'
import type { Span } from '../model/span.ts'

/** Most rows that the lane of places takes; what was visited least shares the last. */
const mostRows = 10

/** A row of the lane of places: which values belong to it. */
export interface PlaceRow {
  readonly name: string
  readonly share: number
}

export interface PlaceRows {
  readonly rows: readonly PlaceRow[]
  /** Row for each value of the lane; −1 where it was never visited. */
  readonly rowOf: Int16Array
}

/** One row for each place that was visited, in the order of the first visit; beyond ten the least used share one. */
export function placeRows(lane: Lane & { readonly kind: 'place' }): PlaceRows {
  const spent = new Float64Array(lane.names.length)
  const order: number[] = []
  const { starts, values, end } = lane.runs
  for (let i = 0; i < starts.length; i += 1) {
    const value = values[i] ?? 0
    if (spent[value] === 0) order.push(value)
    spent[value] = (spent[value] ?? 0) + (starts[i + 1] ?? end) - (starts[i] ?? 0)
  }
  const kept = new Set(
    [...order]
      .sort((a, b) => (spent[b] ?? 0) - (spent[a] ?? 0))
      .slice(0, order.length > mostRows ? mostRows - 1 : mostRows),
  )
  const rowOf = new Int16Array(lane.names.length).fill(-1)
  const rows: { name: string; share: number }[] = []
  for (const value of order) {
    if (!kept.has(value)) continue
    rowOf[value] = rows.push({ name: lane.names[value] ?? '', share: (spent[value] ?? 0) / Math.max(1, end) }) - 1
  }
  const rest = order.filter((value) => !kept.has(value))
  if (rest.length > 0) {
    const share = rest.reduce((sum, value) => sum + (spent[value] ?? 0), 0) / Math.max(1, end)
    const row = rows.push({ name: `${rest.length} more`, share }) - 1
    for (const value of rest) rowOf[value] = row
  }
  return { rows, rowOf }
}

/** For each row and pixel the share of the pixel's time that was spent there: `cover[row * width + x]`, 0 to 1. */
export function coverage(runs: Runs, rows: PlaceRows, span: Span, width: number): Float32Array {
  const cover = new Float32Array(rows.rows.length * width)
  const scale = width / (span.to - span.from)
  for (let i = Math.max(0, indexAt(runs.starts, span.from)); i < runs.starts.length; i += 1) {
    const start = runs.starts[i] ?? 0
    if (start >= span.to) break
    const row = rows.rowOf[runs.values[i] ?? 0] ?? -1
    if (row < 0) continue
    const from = Math.max(0, (start - span.from) * scale)
    const to = Math.min(width, ((runs.starts[i + 1] ?? runs.end) - span.from) * scale)
    for (let x = Math.floor(from); x < to; x += 1) {
      const place = row * width + x
      cover[place] = (cover[place] ?? 0) + Math.min(x + 1, to) - Math.max(x, from)
    }
  }
  return cover
}
