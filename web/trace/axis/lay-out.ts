import type { Lane } from '../model/lane.ts'
import { type PlaceRows, placeRows } from './places.ts'

export const rulerHeight = 38
export const placeRowHeight = 14
const gap = 6

/** A lane where it stands on the canvas, in CSS pixels. */
export interface LaidLane {
  readonly lane: Lane
  readonly top: number
  readonly height: number
  /** For the lane of places only. */
  readonly places: PlaceRows | null
}

const heights = { digit: 19, speaker: 44, keys: 20, depth: 40, marks: 18, place: 0 } as const
const order: readonly Lane['kind'][] = ['digit', 'speaker', 'keys', 'place', 'depth', 'marks']

/** Lanes from top to bottom; lanes in which nothing ever happens (no key, no interrupt) are left to the table. */
export function layOut(lanes: readonly Lane[]): { readonly lanes: readonly LaidLane[]; readonly height: number } {
  const laid: LaidLane[] = []
  let top = rulerHeight + gap
  let before: Lane['kind'] | null = null
  const ordered = order.flatMap((kind) => lanes.filter((lane) => lane.kind === kind)).filter(hasAnything)
  for (const lane of ordered) {
    if (before !== null && !(before === 'digit' && lane.kind === 'digit')) top += gap
    const places = lane.kind === 'place' ? placeRows(lane) : null
    const height = places === null ? heights[lane.kind] : Math.max(1, places.rows.length) * placeRowHeight
    laid.push({ lane, top, height, places })
    top += height
    before = lane.kind
  }
  return { lanes: laid, height: top + gap }
}

function hasAnything(lane: Lane): boolean {
  switch (lane.kind) {
    case 'marks':
      return lane.times.length > 0
    case 'keys':
      return lane.runs.starts.length > 1
    case 'digit':
    case 'speaker':
    case 'place':
    case 'depth':
      return true
  }
}
