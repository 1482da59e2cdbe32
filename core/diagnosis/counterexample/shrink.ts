/** Whole numbers, each with the smallest that it may be. */
export interface Shrinkable {
  readonly values: readonly number[]
  readonly lows: readonly number[]
}

/**
 * Makes a failing list of numbers smaller for as long as it still fails: each number at its lowest, or lowered by halves
 * of the distance and ever smaller steps down to 1; when that gives nothing more, each number to the smallest of the 256
 * values from its lowest on that fails. The result fails, and no one number of it can be brought to one of those, or be one
 * less. Deterministic. `most` calls of `fails` at most; then the smallest failing list so far.
 */
export function shrink(
  { values, lows }: Shrinkable,
  fails: (values: readonly number[]) => boolean,
  most = 2_000,
): readonly number[] {
  const known = new Map<string, boolean>()
  let calls = 0
  const stillFails = (candidate: readonly number[]): boolean => {
    const key = candidate.join()
    const before = known.get(key)
    if (before !== undefined) return before
    if (calls >= most) return false
    calls += 1
    const verdict = fails(candidate)
    known.set(key, verdict)
    return verdict
  }
  let best = values
  if (stillFails(lows)) return lows
  for (const way of [lower, scan]) {
    for (let before: readonly number[] | null = null; before !== best;) {
      before = best
      for (const i of best.keys()) best = way(best, i, lows[i] ?? 0, stillFails)
    }
  }
  return best
}

/** The list with one number as low as it can be brought; the list itself where it cannot. */
function lower(
  values: readonly number[],
  i: number,
  low: number,
  fails: (values: readonly number[]) => boolean,
): readonly number[] {
  const start = values[i] ?? 0
  if (start <= low) return values
  const lowest = values.with(i, low)
  if (fails(lowest)) return lowest
  let best = values
  for (let step = 2 ** Math.floor(Math.log2(start - low)); step >= 1; step /= 2) {
    for (;;) {
      const next = (best[i] ?? 0) - step
      if (next < low) break
      const candidate = best.with(i, next)
      if (!fails(candidate)) break
      best = candidate
    }
  }
  return best
}

/** The list with one number at the first of the 256 values from its lowest on with which it fails. */
function scan(
  values: readonly number[],
  i: number,
  low: number,
  fails: (values: readonly number[]) => boolean,
): readonly number[] {
  const end = Math.min(values[i] ?? 0, low + 256)
  for (let value = low; value < end; value++) {
    const candidate = values.with(i, value)
    if (fails(candidate)) return candidate
  }
  return values
}
