import type { Lane } from '../model/lane.ts'
import { Shares } from './shares.ts'

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
  readonly shares: Shares
}

const known = new WeakMap<Lane, PlaceRows>()

/** As `placeRows`, counted once for each lane. */
export function placeRowsOf(lane: Lane & { readonly kind: 'place' }): PlaceRows {
  const found = known.get(lane) ?? placeRows(lane)
  known.set(lane, found)
  return found
}

/**
 * One row for each name that was visited, in the order of the first visit; beyond ten the least used share one. A routine
 * whose entry is a jump lies in two places under one name.
 */
export function placeRows(lane: Lane & { readonly kind: 'place' }): PlaceRows {
  const spent = new Map<string, number>()
  const { starts, values, end } = lane.runs
  for (let i = 0; i < starts.length; i += 1) {
    const name = lane.names[values[i] ?? 0] ?? ''
    spent.set(name, (spent.get(name) ?? 0) + (starts[i + 1] ?? end) - (starts[i] ?? 0))
  }
  const byTime = [...spent].sort(([, a], [, b]) => b - a).map(([name]) => name)
  const kept = byTime.slice(0, byTime.length > mostRows ? mostRows - 1 : mostRows)
  const rest = byTime.slice(kept.length)
  const share = (names: readonly string[]) =>
    names.reduce((sum, name) => sum + (spent.get(name) ?? 0), 0) / Math.max(1, end)
  const rows = [...spent.keys()].filter((name) => kept.includes(name)).map((name) => ({ name, share: share([name]) }))
  if (rest.length > 0) rows.push({ name: `${rest.length} more`, share: share(rest) })
  const rowOf = Int16Array.from(lane.names, (name) => {
    const row = rows.findIndex((each) => each.name === name)
    return row < 0 && rest.includes(name) ? rows.length - 1 : row
  })
  const maskOf = (value: number) => ((rowOf[value] ?? -1) < 0 ? 0 : 1 << (rowOf[value] ?? 0))
  return { rows, rowOf, shares: new Shares(lane.runs, rows.length, maskOf) }
}
