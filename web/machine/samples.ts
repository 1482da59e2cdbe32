/** Quiet enough for headphones, as full level of a square wave is not. */
const level = 0.12
/** Coupling of a loudspeaker: what rests, high or low, is silent after some 8 ms. */
const settleSeconds = 0.008

/** What the cone did from one T-state to another (excluded): `levelBefore` held until the first of `edges`. */
export interface ConeSpan {
  readonly from: number
  readonly to: number
  readonly levelBefore: 0 | 1
  readonly edges: Float64Array
}

/**
 * Makes samples for the ear from edges, span after span. Each sample is the share of its time that the cone stood high, so
 * edges between two samples keep their exact place.
 */
export class Sampler {
  readonly #tPerSample: number
  readonly #keep: number
  #mean: number | null = null
  #out = 0

  constructor(clockHz: number, sampleRate: number) {
    this.#tPerSample = clockHz / sampleRate
    this.#keep = Math.exp(-1 / (settleSeconds * sampleRate))
  }

  /** As many samples as the span has room for, at most `most`. */
  samples(span: ConeSpan, most: number): Float32Array<ArrayBuffer> {
    const count = Math.max(0, Math.min(Math.round((span.to - span.from) / this.#tPerSample), most))
    const samples = new Float32Array(count)
    let next = 0
    let high: number = span.levelBefore
    for (let n = 0; n < count; n += 1) {
      const end = span.from + (n + 1) * this.#tPerSample
      let at = end - this.#tPerSample
      let sum = 0
      for (let edge = span.edges[next] ?? Infinity; edge < end; edge = span.edges[next] ?? Infinity) {
        sum += high * Math.max(0, edge - at)
        at = Math.max(at, edge)
        high = 1 - high
        next += 1
      }
      sum += high * (end - at)
      const mean = sum / this.#tPerSample
      this.#out = this.#keep * (this.#out + mean - (this.#mean ?? mean))
      this.#mean = mean
      samples[n] = this.#out * 2 * level
    }
    return samples
  }
}

/** Lets samples begin and end softly, so that neither clicks. */
export function fade(samples: Float32Array<ArrayBuffer>, sampleRate: number): Float32Array<ArrayBuffer> {
  const length = Math.max(1, Math.round(0.004 * sampleRate))
  return samples.map((sample, n) => sample * Math.min(1, n / length, (samples.length - 1 - n) / length))
}
