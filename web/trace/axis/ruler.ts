import { whole } from '../../words/index.ts'
import type { Span } from '../model/span.ts'
import { trimmed } from '../../machine/words.ts'

export interface Tick {
  readonly t: number
  readonly tStates: string
  readonly time: string
}

/** Round steps of T-states: 1, 2, 5, 10, 20, 50 … */
export function roundStep(atLeast: number): number {
  const power = 10 ** Math.floor(Math.log10(Math.max(1, atLeast)))
  const factor = [1, 2, 5, 10].find((step) => step * power >= atLeast) ?? 10
  return factor * power
}

/** Ticks at round T-states, no closer than `apart` pixels. */
export function ticks(span: Span, width: number, apart: number, clockHz: number): readonly Tick[] {
  const step = roundStep(((span.to - span.from) * apart) / Math.max(1, width))
  const inMilliseconds = (step / clockHz) * 1000 >= 0.1
  const found: Tick[] = []
  for (let t = Math.ceil(span.from / step) * step; t < span.to; t += step) {
    found.push({ t, tStates: whole(t), time: t === 0 ? '0' : timeOf(t / clockHz, inMilliseconds) })
  }
  return found
}

/** One unit for all ticks of a ruler, with as many places as tell neighbours apart. */
function timeOf(seconds: number, inMilliseconds: boolean): string {
  return inMilliseconds ? `${trimmed(seconds * 1000, 2)} ms` : `${trimmed(seconds * 1_000_000, 1)} µs`
}
