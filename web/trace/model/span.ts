/** A stretch of the time axis in T-states; `to` is excluded. */
export interface Span {
  readonly from: number
  readonly to: number
}

/** The closest look: sixteen T-states across the screen, so that each is wide enough to point at. */
export const narrowest = 16

export function lengthOf(span: Span): number {
  return span.to - span.from
}

export function isWithin(span: Span, t: number): boolean {
  return t >= span.from && t < span.to
}

/** Moved and, where it is too long, cut so that it lies in `whole`; never narrower than `narrowest` unless `whole` is. */
export function clampSpan(span: Span, whole: Span): Span {
  const most = lengthOf(whole)
  const length = Math.min(Math.max(lengthOf(span), Math.min(narrowest, most)), most)
  const from = Math.min(Math.max(span.from, whole.from), whole.to - length)
  return { from, to: from + length }
}

/** `factor` below 1 looks closer. What stands at `about` stays where it is on the screen. */
export function zoomSpan(span: Span, factor: number, about: number, whole: Span): Span {
  const length = Math.min(Math.max(lengthOf(span) * factor, Math.min(narrowest, lengthOf(whole))), lengthOf(whole))
  const share = lengthOf(span) === 0 ? 0 : (about - span.from) / lengthOf(span)
  const from = about - share * length
  return clampSpan({ from, to: from + length }, whole)
}

export function panSpan(span: Span, by: number, whole: Span): Span {
  return clampSpan({ from: span.from + by, to: span.to + by }, whole)
}

/** The same length with `t` inside: unmoved where it already is, else with `t` a third of the way across. */
export function spanShowing(span: Span, t: number, whole: Span): Span {
  if (isWithin(span, t)) return span
  const from = t - lengthOf(span) / 3
  return clampSpan({ from, to: from + lengthOf(span) }, whole)
}

/** From the smaller to the larger, as drawn with a pointer in either direction. */
export function spanBetween(a: number, b: number): Span {
  return a <= b ? { from: a, to: b } : { from: b, to: a }
}
