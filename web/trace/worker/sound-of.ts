// Not through the index: a worker must not pull in components.
import { Sampler, fade } from '../../machine/samples.ts'
import { type Runs, indexAt, valueAt } from '../model/runs.ts'
import type { Span } from '../model/span.ts'

const longestSeconds = 10

/** The speaker over a stretch as samples for the ear, at most ten seconds of it. */
export function soundOf(speaker: Runs, span: Span, clockHz: number, sampleRate: number): Float32Array<ArrayBuffer> {
  const from = indexAt(speaker.starts, span.from) + 1
  const to = indexAt(speaker.starts, span.to - 1) + 1
  const edges = speaker.starts.slice(from, Math.max(from, to))
  const levelBefore = valueAt(speaker, span.from) === 1 ? 1 : 0
  const samples = new Sampler(clockHz, sampleRate).samples({ ...span, levelBefore, edges }, longestSeconds * sampleRate)
  return fade(samples, sampleRate)
}
