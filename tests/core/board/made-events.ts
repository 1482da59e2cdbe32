import { segmentsOf, type BoardEvent, type BoardProfile } from '../../../core/board/index.ts'
import { encode } from '../../../core/board/wiring.ts'

/** Port writes, put down by hand: what a program did to the display, without a CPU. */
export class MadeEvents {
  readonly events: BoardEvent[] = []
  readonly #profile: BoardProfile

  constructor(profile: BoardProfile) {
    this.#profile = profile
  }

  /** Lights `segments` on a digit (none: −1) at `t`. */
  select(t: number, digit: number): this {
    const { digitBits, isDigitActiveHigh, selectPort } = this.#profile.display
    return this.#write(t, selectPort, encode(digit < 0 ? 0 : 1 << digit, digitBits, isDigitActiveHigh))
  }

  segments(t: number, segments: number): this {
    const { segmentBits, isSegmentActiveHigh, segmentPort } = this.#profile.display
    return this.#write(t, segmentPort, encode(segments, segmentBits, isSegmentActiveHigh))
  }

  /** One digit for `on` T-states, dark before the select changes. */
  flash(t: number, digit: number, glyph: string, on: number): this {
    return this.segments(t, 0)
      .select(t, digit)
      .segments(t, segmentsOf(glyph) ?? 0)
      .segments(t + on, 0)
  }

  /** Sweeps over `text` from `from` on, `perDigit` T-states a digit, lit all the time, as long as a sweep begins before `until`. */
  sweeps(from: number, until: number, perDigit: number, text: string): this {
    let t = from
    while (t < until)
      for (let digit = 0; digit < text.length; digit++, t += perDigit)
        this.flash(t, digit, text[digit] ?? ' ', perDigit)
    return this
  }

  #write(t: number, port: number, value: number): this {
    this.events.push({ kind: 'port-write', t, pc: 0x4000, port, value })
    return this
  }
}

/** Edges of a tone, as events: `count` half periods of `half` T-states after the first edge. */
export function toneEvents(from: number, half: number, count: number): BoardEvent[] {
  return Array.from({ length: count + 1 }, (_, k) => ({
    kind: 'speaker-edge',
    t: from + k * half,
    pc: 0x4000,
    level: k % 2 === 0 ? 1 : 0,
  }))
}
