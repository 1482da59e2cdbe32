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

/** Lanes from top to bottom; those in which nothing ever happens are left to `stillWords` and the table. */
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

/** What is not drawn because nothing happens in it, in one sentence; empty where everything is drawn. */
export function stillWords(lanes: readonly Lane[]): string {
  const still = lanes.filter((lane) => !hasAnything(lane))
  const digits = still.filter((lane) => lane.kind === 'digit')
  const isAllDark = digits.length > 0 && digits.length === lanes.filter((lane) => lane.kind === 'digit').length
  const numbers = digits.map((lane) => lane.title.replace('Digit ', '')).join(', ')
  const parts = [
    isAllDark ? ['digits dark'] : digits.length > 0 ? [`digit ${numbers} dark`] : [],
    still.some((lane) => lane.kind === 'speaker') ? ['speaker silent'] : [],
    still.some((lane) => lane.kind === 'keys') ? ['no key pressed'] : [],
    still.some((lane) => lane.kind === 'marks') ? ['no interrupt'] : [],
  ].flat()
  return parts.length === 0 ? '' : `All through the run: ${parts.join(', ')}.`
}

function hasAnything(lane: Lane): boolean {
  switch (lane.kind) {
    case 'marks':
      return lane.times.length > 0
    case 'keys':
      return lane.runs.starts.length > 1
    case 'speaker':
      return lane.runs.starts.length > 1
    case 'digit':
      return lane.looks.length > 1
    case 'place':
    case 'depth':
      return true
  }
}
