import type { Lane } from '../model/lane.ts'
import { type PlaceRows, placeRowsOf } from './places.ts'

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

export const bitRowHeight = 9

const heights = { digit: 19, speaker: 44, keys: 20, depth: 40, marks: 18, value: 22 } as const

/** Lanes from top to bottom as they come; those in which nothing ever happens are left to `stillWords` and the table. */
export function layOut(lanes: readonly Lane[]): { readonly lanes: readonly LaidLane[]; readonly height: number } {
  const laid: LaidLane[] = []
  let top = rulerHeight + gap
  let before: Lane['kind'] | null = null
  for (const lane of lanes.filter(hasAnything)) {
    if (before !== null && !(before === 'digit' && lane.kind === 'digit')) top += gap
    const places = lane.kind === 'place' ? placeRowsOf(lane) : null
    const height = heightOf(lane)
    laid.push({ lane, top, height, places })
    top += height
    before = lane.kind
  }
  return { lanes: laid, height: top + gap }
}

function heightOf(lane: Lane): number {
  switch (lane.kind) {
    case 'place':
      return Math.max(1, placeRowsOf(lane).rows.length) * placeRowHeight
    case 'bits':
      return lane.names.length * bitRowHeight + 2
    default:
      return heights[lane.kind]
  }
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
    still.flatMap((lane) =>
      lane.kind === 'bits' ? [`no ${lane.noun === 'digit' ? 'digit selected' : `${lane.noun} on`}`] : [],
    ),
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
    case 'bits':
      return lane.runs.starts.length > 1 || (lane.runs.values[0] ?? 0) !== 0
    case 'place':
    case 'depth':
    case 'value':
      return true
  }
}
