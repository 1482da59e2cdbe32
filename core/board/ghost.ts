import type { TState } from '../cpu/index.ts'
import { ghostShare, type Eye } from './eye.ts'
import type { Light } from './light.ts'
import { appendSpan, lastAtOrBefore, type Spans } from './spans.ts'
import { countWork } from './work.ts'

/** What it takes to see a phase of light with the eye, segment by segment. */
const workOfPhase = 100

/** The light of one digit with the ghosts of its neighbours taken out and counted. */
export interface CleanLight {
  /** When each segment (a to g, point) was lit as part of the digit's own sign. */
  readonly bySegment: readonly Spans[]
  /** Lit time of the phases that begin in `[from, to)`, and the part of it in which another sign showed through. */
  timeBetween(from: TState, to: TState): { readonly lit: TState; readonly ghost: TState }
}

/**
 * Looks at each visit (the digit selected without a break, cut where it lasts longer than an eye adds up) and tells its
 * sign from the slivers of another: segments with less than a quarter of the time of the brightest one.
 */
export function splitGhosts(light: Light, eye: Eye): CleanLight {
  const count = light.start.length
  countWork(workOfPhase * count)
  const bySegment: number[][] = Array.from({ length: 8 }, () => [])
  const phases: number[] = []
  const litUpTo = [0]
  const ghostUpTo = [0]
  for (let first = 0; first < count;) {
    const after = endOfVisit(light, first, eye)
    const own = ownSegments(light, first, after)
    for (let k = first; k < after; k++) {
      const start = light.start[k] ?? 0
      const end = light.end[k] ?? 0
      const pattern = light.pattern[k] ?? 0
      for (let bit = 0; bit < 8; bit++) if (((pattern & own) >> bit) & 1) appendSpan(bySegment[bit] ?? [], start, end)
      phases.push(start, end)
      litUpTo.push((litUpTo[k] ?? 0) + end - start)
      ghostUpTo.push((ghostUpTo[k] ?? 0) + ((pattern & ~own) === 0 ? 0 : end - start))
    }
    first = after
  }
  const phasesBefore = (t: TState) => lastAtOrBefore(phases, t - 1) / 2 + 1
  return {
    bySegment,
    timeBetween(from, to) {
      const a = phasesBefore(from)
      const b = phasesBefore(to)
      const between = (sums: readonly number[]) => (sums[b] ?? 0) - (sums[a] ?? 0)
      return { lit: between(litUpTo), ghost: between(ghostUpTo) }
    },
  }
}

function endOfVisit(light: Light, first: number, eye: Eye): number {
  const isLong = (k: number) => (light.end[k] ?? 0) - (light.start[k] ?? 0) >= eye.steadyGap
  let k = first + 1
  if (isLong(first)) return k
  const until = (light.start[first] ?? 0) + eye.window
  while (k < light.start.length && light.visit[k] === light.visit[first] && !isLong(k) && (light.end[k] ?? 0) <= until)
    k++
  return k
}

const time = new Float64Array(8)

function ownSegments(light: Light, first: number, after: number): number {
  if (after === first + 1) return light.pattern[first] ?? 0
  time.fill(0)
  let brightest = 0
  for (let k = first; k < after; k++) {
    const pattern = light.pattern[k] ?? 0
    const lasts = (light.end[k] ?? 0) - (light.start[k] ?? 0)
    for (let bit = 0; bit < 8; bit++)
      if ((pattern >> bit) & 1) {
        const sum = (time[bit] ?? 0) + lasts
        time[bit] = sum
        if (sum > brightest) brightest = sum
      }
  }
  let own = 0
  for (let bit = 0; bit < 8; bit++) if ((time[bit] ?? 0) >= ghostShare * brightest) own |= 1 << bit
  return own
}
