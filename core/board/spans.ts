/** Stretches of time `[start, end)` in ascending order, none touching another: `[start, end, start, end, …]`. */
export type Spans = readonly number[]

/** Add `[start, end)` at the end of `spans`; a stretch that touches or overlaps the last one prolongs it. */
export function appendSpan(spans: number[], start: number, end: number): void {
  const last = spans.length - 1
  const lastEnd = spans[last]
  if (lastEnd !== undefined && start <= lastEnd) spans[last] = Math.max(lastEnd, end)
  else spans.push(start, end)
}

/** The stretches in which any of `lists` is inside one of its own. */
export function union(lists: readonly Spans[]): number[] {
  let all: number[] = []
  // Segments of one digit are mostly lit together, so that what is merged does not grow.
  for (const list of lists) all = merged(all, list)
  return all
}

function merged(one: Spans, other: Spans): number[] {
  const both: number[] = []
  let [i, j] = [0, 0]
  while (i < one.length || j < other.length) {
    const isNext = j >= other.length || (one[i] ?? Infinity) <= (other[j] ?? 0)
    if (isNext) {
      appendSpan(both, one[i] ?? 0, one[i + 1] ?? 0)
      i += 2
    } else {
      appendSpan(both, other[j] ?? 0, other[j + 1] ?? 0)
      j += 2
    }
  }
  return both
}

/** The same with every gap of at most `longest` closed. */
export function closeGaps(spans: Spans, longest: number): number[] {
  const closed: number[] = []
  for (let i = 0; i < spans.length; i += 2) {
    const start = spans[i] ?? 0
    const end = spans[i + 1] ?? 0
    const before = closed[closed.length - 1]
    if (before !== undefined && start - before <= longest) closed[closed.length - 1] = end
    else closed.push(start, end)
  }
  return closed
}

/** The gaps between neighbours that are longer than `over` and at most `upTo`. */
export function gapsBetween(spans: Spans, over: number, upTo: number): number[] {
  const gaps: number[] = []
  for (let i = 2; i < spans.length; i += 2) {
    const end = spans[i - 1] ?? 0
    const start = spans[i] ?? 0
    if (start - end > over && start - end <= upTo) gaps.push(end, start)
  }
  return gaps
}

/**
 * The stretches that lie, wholly or in part, in some window of length `window` of which at least `least` is covered.
 * The fullest window begins where a stretch begins or ends where one ends, so only those are looked at.
 */
export function denseEnough(spans: Spans, window: number, least: number): number[] {
  const count = spans.length / 2
  const start = (k: number) => spans[2 * k] ?? 0
  const end = (k: number) => spans[2 * k + 1] ?? 0
  const before = new Float64Array(count + 1)
  for (let k = 0; k < count; k++) before[k + 1] = (before[k] ?? 0) + end(k) - start(k)
  const isDense = new Uint8Array(count)
  let marked = 0
  for (let i = 0, j = 0; i < count; i++) {
    const until = start(i) + window
    while (j < count && start(j) < until) j++
    const covered = (before[j] ?? 0) - (before[i] ?? 0) - Math.max(0, end(j - 1) - until)
    if (covered >= least) for (marked = Math.max(marked, i); marked < j; marked++) isDense[marked] = 1
  }
  marked = 0
  for (let j = 0, i = 0; j < count; j++) {
    const since = end(j) - window
    while (end(i) <= since) i++
    const covered = (before[j + 1] ?? 0) - (before[i] ?? 0) - Math.max(0, since - start(i))
    if (covered >= least) for (marked = Math.max(marked, i); marked <= j; marked++) isDense[marked] = 1
  }
  const dense: number[] = []
  for (let k = 0; k < count; k++) if (isDense[k] === 1) dense.push(start(k), end(k))
  return dense
}

/** Whether `t` lies in one of the stretches. */
export function covers(spans: Spans, t: number): boolean {
  const i = lastAtOrBefore(spans, t)
  return i >= 0 && t < (spans[i + 1] ?? 0)
}

/** Position in `spans` of the last stretch that begins at or before `t`; −2 where none does. */
export function lastAtOrBefore(spans: Spans, t: number): number {
  let low = 0
  let high = spans.length / 2
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((spans[2 * middle] ?? 0) <= t) low = middle + 1
    else high = middle
  }
  return 2 * (low - 1)
}
