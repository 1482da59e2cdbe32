import type { DigitSpan } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'

/** A time of the run, `to` excluded. */
export interface Stretch {
  readonly from: TState
  readonly to: TState
}

/** The spans as far as they lie in a window. */
export function within(spans: readonly DigitSpan[], window: Stretch): readonly DigitSpan[] {
  return spans.flatMap((span) => {
    const cut = { ...span, from: Math.max(span.from, window.from), to: Math.min(span.to, window.to) }
    return cut.to > cut.from ? [cut] : []
  })
}

/** The longest stretch in which every digit shows what it must, steadily; null where there is none. */
export function longestStretch(spans: readonly DigitSpan[], wanted: readonly number[]): Stretch | null {
  let together: readonly Stretch[] | null = null
  for (const digit of wanted.keys()) {
    const own = union(spans.filter((span) => span.digit === digit && isStanding(span, wanted)))
    together = together === null ? own : overlaps(together, own)
  }
  return longest(together ?? [])
}

/** The longest stretch in which some digit is lit with what it must show; null where there is none. */
export function longestShowing(spans: readonly DigitSpan[], wanted: readonly number[]): Stretch | null {
  return longest(union(spans.filter(({ digit, segments }) => segments !== 0 && segments === wanted[digit])))
}

/** Whether a digit shows what it must, without flicker. */
function isStanding({ digit, segments, state }: DigitSpan, wanted: readonly number[]): boolean {
  return segments === wanted[digit] && (state === 'steady' || state === 'dark' || state === 'ghosted')
}

/** How many digits show what they must at the same time, steadily: the most that ever do. */
export function mostStanding(spans: readonly DigitSpan[], wanted: readonly number[]): number {
  const changes = spans
    .filter((span) => isStanding(span, wanted))
    .flatMap(({ from, to }) => [
      { t: from, by: 1 },
      { t: to, by: -1 },
    ])
    // A span that begins where another of its digit ends is no second digit.
    .sort((a, b) => a.t - b.t || a.by - b.by)
  let [count, most] = [0, 0]
  for (const { by } of changes) most = Math.max(most, (count += by))
  return most
}

/** How many digits show what they must at some time, and nothing else. */
export function onlySeen(spans: readonly DigitSpan[], wanted: readonly number[]): number {
  const lit = spans.filter(({ segments }) => segments !== 0)
  return wanted.filter((segments, digit) => {
    const own = lit.filter((span) => span.digit === digit)
    return own.every((span) => span.segments === segments) && (segments === 0 || own.length > 0)
  }).length
}

function longest(stretches: readonly Stretch[]): Stretch | null {
  return stretches.reduce<Stretch | null>(
    (best, each) => (best === null || each.to - each.from > best.to - best.from ? each : best),
    null,
  )
}

/** The stretches that any of the given ones covers, in order. */
function union(spans: readonly Stretch[]): readonly Stretch[] {
  const result: { from: TState; to: TState }[] = []
  for (const { from, to } of spans.toSorted((a, b) => a.from - b.from)) {
    const last = result.at(-1)
    if (last !== undefined && from <= last.to) last.to = Math.max(last.to, to)
    else result.push({ from, to })
  }
  return result
}

function overlaps(a: readonly Stretch[], b: readonly Stretch[]): readonly Stretch[] {
  return a.flatMap((one) =>
    b.flatMap((other) => {
      const both = { from: Math.max(one.from, other.from), to: Math.min(one.to, other.to) }
      return both.to > both.from ? [both] : []
    }),
  )
}

/** What each digit showed longest, left to right. */
export function mostlySeen(spans: readonly DigitSpan[], digits: number): string {
  return Array.from({ length: digits }, (_, digit) => {
    const times = new Map<string, number>()
    for (const span of spans) {
      if (span.digit !== digit || span.state === 'dark') continue
      times.set(span.glyph, (times.get(span.glyph) ?? 0) + span.to - span.from)
    }
    return [...times].reduce((best, each) => (each[1] > best[1] ? each : best), [' ', 0] as [string, number])[0]
  }).join('')
}

/** The first span in which a digit shows something that it must not; null where none does. */
export function firstWrong(spans: readonly DigitSpan[], wanted: readonly number[]): DigitSpan | null {
  const wrong = spans.filter(
    (span) => span.digit < wanted.length && span.segments !== 0 && span.segments !== wanted[span.digit],
  )
  return wrong.reduce<DigitSpan | null>(
    (first, span) => (first === null || span.from < first.from ? span : first),
    null,
  )
}
