import type { Byte, TState } from '../cpu/index.ts'
import type { BoardEvent, DigitSpan, DigitState } from './event.ts'
import { EventLog } from './event-log.ts'
import { eyeFor, ghostLimit, type Eye } from './eye.ts'
import { splitGhosts, type CleanLight } from './ghost.ts'
import { glyphOf } from './glyph.ts'
import { lightOf } from './light.ts'
import type { BoardProfile } from './profile.ts'
import { appendSpan, closeGaps, covers, denseEnough, gapsBetween, lastAtOrBefore, union, type Spans } from './spans.ts'

/**
 * What an eye sees of every digit from T-state `from` to `to` (excluded), digit by digit from the left, without gaps.
 *
 * A segment is seen where some window of 33.3 ms holds at least 2 % of its light. A sign goes on over dark gaps of at
 * most 50 ms; it is steady while they stay within 16.7 ms, else it flickers from the last light before the long gap to
 * the first after it (stretches of less than 33.3 ms between two long gaps flicker with them). A longer gap is dark. A
 * sign shown for less than 33.3 ms, or in turns of less than 100 ms with pauses up to 1 s, blinks. A new sign begins with
 * its first light. At `to` a sign lasts if it had light in the 16.7 ms before: whoever wants to know whether the
 * display went dark at the end of a run asks for a later `to` (latches keep what was written last).
 */
export function digitTimeline(
  events: EventLog | Iterable<BoardEvent>,
  profile: BoardProfile,
  from: TState,
  to: TState,
): DigitSpan[] {
  const log = EventLog.from(events)
  const eye = eyeFor(profile.clockHz)
  const margin = eye.blinkPause + eye.blinkShowing
  const since = Math.max(0, from - margin)
  const until = Math.max(to, Math.min(to + margin, log.timeAt(log.length - 1)))
  return lightOf(log, profile, since, until).flatMap((light, digit) =>
    clip(signsOf(splitGhosts(light, eye), eye, until), digit, from, to),
  )
}

/** A sign as seen, before it is cut to the window asked for. */
interface Sign {
  readonly from: TState
  readonly to: TState
  readonly segments: Byte
  readonly state: DigitState
}

function signsOf(light: CleanLight, eye: Eye, until: TState): Sign[] {
  const seen = light.bySegment.map((spans) => denseEnough(spans, eye.window, eye.least))
  const lit = union(seen)
  const showings = closeGaps(lit, eye.flickerGap)
  const last = showings.length - 1
  if (last > 0 && until - (showings[last] ?? 0) <= eye.steadyGap) showings[last] = until
  const present = seen.map((spans) => closeGaps(spans, eye.flickerGap))
  const longGaps = union([lit, ...seen].map((spans) => gapsBetween(spans, eye.steadyGap, eye.flickerGap)))
  const signs: Sign[] = []
  for (let i = 0; i < showings.length; i += 2) {
    const start = showings[i] ?? 0
    const end = showings[i + 1] ?? 0
    const flicker = flickerOf(longGaps, start, end, eye)
    const isFlash = end - start < eye.window
    for (const [from, to, segments] of contentsOf(lit, present, start, end, eye)) {
      for (const [a, b, isFlickering] of cut(from, to, flicker)) {
        const state = isFlash ? 'blinks' : isFlickering ? 'flickers' : 'steady'
        signs.push({ from: a, to: b, segments, state })
      }
    }
  }
  return joinBlinks(signs, eye).map((sign) => {
    const shown = light.timeBetween(sign.from, sign.to)
    return shown.ghost > ghostLimit * shown.lit ? { ...sign, state: 'ghosted' } : sign
  })
}

/** The stretches of a showing in which it flickers: the long gaps, and what light between them is too short to rest. */
function flickerOf(longGaps: Spans, start: TState, end: TState, eye: Eye): number[] {
  const flicker: number[] = []
  for (let i = Math.max(0, lastAtOrBefore(longGaps, start)); i < longGaps.length; i += 2) {
    const gapStart = longGaps[i] ?? 0
    const gapEnd = longGaps[i + 1] ?? 0
    if (gapStart >= end) break
    if (gapEnd <= start) continue
    const before = flicker[flicker.length - 1] ?? start
    appendSpan(flicker, gapStart - before < eye.window ? before : gapStart, gapEnd)
  }
  const last = flicker.length - 1
  if (last > 0 && end - (flicker[last] ?? 0) < eye.window) flicker[last] = end
  return flicker
}

/** What stands in one showing, one sign after the other: `[from, to, segments]`. */
function contentsOf(
  lit: Spans,
  present: readonly Spans[],
  start: TState,
  end: TState,
  eye: Eye,
): [TState, TState, Byte][] {
  const changes = new Set([start])
  for (const spans of present)
    for (let i = Math.max(0, lastAtOrBefore(spans, start)); i < spans.length && (spans[i] ?? 0) < end; i += 2) {
      if ((spans[i] ?? 0) > start) changes.add(spans[i] ?? 0)
      const gone = nextLight(lit, spans[i + 1] ?? 0)
      if (gone > start && gone < end) changes.add(gone)
    }
  const at = [...changes].sort((x, y) => x - y)
  const contents: [TState, TState, Byte][] = []
  at.forEach((from, k) => {
    const to = at[k + 1] ?? end
    const segments = present.reduce((sum, spans, bit) => sum | (covers(spans, from) ? 1 << bit : 0), 0)
    const before = contents[contents.length - 1]
    // Too short to be seen: the first T-states of the sign that follows, whose segments come on one by one.
    if (before !== undefined && before[1] - before[0] < eye.least)
      contents[contents.length - 1] = [before[0], to, segments]
    else contents.push([from, to, segments])
    const last = contents[contents.length - 1]
    const earlier = contents[contents.length - 2]
    if (last !== undefined && earlier !== undefined && earlier[2] === last[2]) {
      contents.pop()
      earlier[1] = last[1]
    }
  })
  return contents
}

/** `t` itself where the digit is lit, else the next moment at which it is. */
function nextLight(lit: Spans, t: TState): TState {
  if (covers(lit, t)) return t
  return lit[lastAtOrBefore(lit, t) + 2] ?? Infinity
}

/** `[from, to)` in pieces that lie inside (true) and outside (false) of `spans`. */
function cut(from: TState, to: TState, spans: Spans): [TState, TState, boolean][] {
  const pieces: [TState, TState, boolean][] = []
  let at = from
  for (let i = 0; i < spans.length; i += 2) {
    const start = Math.max(at, spans[i] ?? 0)
    const end = Math.min(to, spans[i + 1] ?? 0)
    if (end <= start) continue
    if (start > at) pieces.push([at, start, false])
    pieces.push([start, end, true])
    at = end
  }
  if (at < to) pieces.push([at, to, false])
  return pieces
}

/** Short showings of one sign with pauses between them, as one blinking sign. */
function joinBlinks(signs: readonly Sign[], eye: Eye): Sign[] {
  const isShort = (sign: Sign) => sign.to - sign.from < eye.blinkShowing
  const joined: { sign: Sign; lastFrom: TState }[] = []
  for (const sign of signs) {
    const before = joined[joined.length - 1]
    const pause = before === undefined ? Infinity : sign.from - before.sign.to
    const isTurn =
      before !== undefined &&
      pause > eye.flickerGap &&
      pause <= eye.blinkPause &&
      before.sign.segments === sign.segments &&
      before.sign.to - before.lastFrom < eye.blinkShowing &&
      isShort(sign)
    if (isTurn) {
      before.sign = { ...before.sign, to: sign.to, state: 'blinks' }
      before.lastFrom = sign.from
    } else joined.push({ sign, lastFrom: sign.from })
  }
  return joined.map(({ sign }) => sign)
}

function clip(signs: readonly Sign[], digit: number, from: TState, to: TState): DigitSpan[] {
  const spans: DigitSpan[] = []
  let at = from
  const dark = (until: TState) => {
    if (until > at) spans.push({ digit, from: at, to: until, segments: 0, glyph: ' ', state: 'dark' })
    at = Math.max(at, until)
  }
  for (const sign of signs) {
    if (sign.to <= from || sign.from >= to) continue
    dark(sign.from)
    const end = Math.min(sign.to, to)
    spans.push({ digit, from: at, to: end, segments: sign.segments, glyph: glyphOf(sign.segments), state: sign.state })
    at = end
  }
  dark(to)
  return spans
}
