import { type Runs, indexAt } from '../model/runs.ts'
import type { Span } from '../model/span.ts'

/** Quiet enough for headphones, as full level of a square wave is painful. */
const level = 0.12
const longestSeconds = 10
/** Coupling of a loudspeaker: what rests, high or low, is silent after some 8 ms. */
const settleSeconds = 0.008
const fadeSeconds = 0.004

/**
 * The speaker over a stretch as samples for the ear, at most ten seconds of it. Each sample is the share of its time that
 * the cone stood high, so edges between two samples keep their exact place.
 */
export function samplesOf(speaker: Runs, span: Span, clockHz: number, sampleRate: number): Float32Array<ArrayBuffer> {
  const tPerSample = clockHz / sampleRate
  const count = Math.max(1, Math.min(Math.round((span.to - span.from) / tPerSample), longestSeconds * sampleRate))
  const samples = new Float32Array(count)
  const keep = Math.exp(-1 / (settleSeconds * sampleRate))
  const fade = Math.max(1, Math.round(fadeSeconds * sampleRate))
  let i = Math.max(0, indexAt(speaker.starts, span.from))
  let previous = speaker.values[i] ?? 0
  let out = 0
  for (let n = 0; n < count; n += 1) {
    const from = span.from + n * tPerSample
    const to = from + tPerSample
    let high = 0
    let at = from
    while (at < to) {
      const next = Math.min(to, speaker.starts[i + 1] ?? Infinity)
      high += (speaker.values[i] ?? 0) * (next - at)
      at = next
      if (next < to) i += 1
      else if (speaker.starts[i + 1] === to) i += 1
    }
    const mean = high / tPerSample
    out = keep * (out + mean - previous)
    previous = mean
    const edge = Math.min(1, n / fade, (count - 1 - n) / fade)
    samples[n] = out * 2 * level * edge
  }
  return samples
}
