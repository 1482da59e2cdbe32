import { glyphOf, segmentsOf, type DigitSpan } from '../../board/index.ts'
import type { Byte, TState } from '../../cpu/index.ts'

/** What stands on several neighbouring digits together, from one change to the next (`to` excluded). */
export interface SeenSign {
  readonly from: TState
  readonly to: TState
  /** Segments of each digit, from the left. */
  readonly segments: readonly Byte[]
  /** The first digit, counted from 1, that flickers or blinks; null where none does. */
  readonly restlessDigit: number | null
}

/** A stretch of time, and the digits looked at: the first from 0, and how many. */
export interface Look {
  readonly from: TState
  readonly to: TState
  readonly first: number
  readonly count: number
}

/**
 * The signs on some digits one after the other. A program changes one digit after the other, so between two signs stands
 * a mixture for up to one sweep: what stands for less than `shortest` T-states is left out, and the sign before it goes on
 * until the next one begins. Signs that are alike and follow each other are one.
 */
export function signsSeen(spans: readonly DigitSpan[], look: Look, shortest: TState): readonly SeenSign[] {
  const signs: SeenSign[] = []
  for (const sign of mixtures(spans, look)) {
    const before = signs.at(-1)
    if (sign.to - sign.from < shortest) continue
    if (before === undefined || !isSame(before.segments, sign.segments)) signs.push(sign)
    else signs[signs.length - 1] = { ...before, restlessDigit: before.restlessDigit ?? sign.restlessDigit }
  }
  return signs.map((sign, i) => ({ ...sign, to: signs[i + 1]?.from ?? look.to }))
}

/** Everything that stands between two changes, however short. */
function* mixtures(spans: readonly DigitSpan[], { from, to, first, count }: Look): Iterable<SeenSign> {
  const byDigit = Array.from({ length: count }, (_, i) => spans.filter(({ digit }) => digit === first + i))
  const next = byDigit.map(() => 0)
  for (let at = from; at < to;) {
    const standing = byDigit.map((own, i) => {
      for (let k = next[i] ?? 0; k < own.length && (own[k]?.to ?? 0) <= at; k++) next[i] = k + 1
      const span = own[next[i] ?? 0]
      return span !== undefined && span.from <= at ? span : null
    })
    const changes = byDigit.map((own, i) => {
      const span = own[next[i] ?? 0]
      return span === undefined ? to : span.from > at ? span.from : span.to
    })
    const until = Math.min(to, ...changes)
    const restless = standing.findIndex((span) => span?.state === 'flickers' || span?.state === 'blinks')
    yield {
      from: at,
      to: until,
      segments: standing.map((span) => span?.segments ?? 0),
      restlessDigit: restless < 0 ? null : first + restless + 1,
    }
    at = until
  }
}

/** Whether two lists of segments are the same. */
export function isSame(a: readonly Byte[], b: readonly Byte[]): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i])
}

/** Whether nothing is lit. */
export function isDark(segments: readonly Byte[]): boolean {
  return segments.every((value) => value === 0)
}

/** The segments of each glyph. */
export function segmentsOfText(glyphs: string): readonly Byte[] {
  return Array.from(glyphs, (glyph) => segmentsOf(glyph) ?? 0)
}

/** `'DEPOT 37'`: what segments look like, in quotes. */
export function signText(segments: readonly Byte[]): string {
  return isDark(segments) ? 'a dark display' : `'${segments.map(glyphOf).join('')}'`
}
