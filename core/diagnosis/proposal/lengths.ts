/** The time that all but the last have in common, in seconds; null where they differ by more than 2 %. */
export function evenTime(seconds: readonly number[]): number | null {
  const all = seconds.slice(0, -1)
  if (all.length === 0) return null
  const mean = all.reduce((sum, each) => sum + each, 0) / all.length
  return mean > 0 && all.every((each) => Math.abs(each - mean) <= 0.02 * mean) ? mean : null
}

/** `250 ms`, `2 s`, `1333.3 ms`. */
export function timeText(seconds: number): string {
  const ms = seconds * 1000
  const round = [1000, 500, 100, 50, 10, 5, 1].map((step) => Math.round(ms / step) * step)
  const near = round.find((each) => each > 0 && Math.abs(each - ms) <= 0.005 * ms) ?? Math.round(ms * 10) / 10
  return near >= 1000 && near % 1000 === 0 ? `${near / 1000} s` : `${near} ms`
}

/** Whether a task names a time, in ms or seconds, that is within a twentieth of this one. */
export function namesTime(brief: string, seconds: number): boolean {
  return timesIn(brief).some((each) => Math.abs(each - seconds) <= 0.05 * seconds)
}

/** A time as a task would name it: the nearest one in it that is within 2 %; else a round one. */
export function namedTime(brief: string, seconds: number): string {
  const [nearest] = timesIn(brief).toSorted((a, b) => Math.abs(a - seconds) - Math.abs(b - seconds))
  return timeText(nearest !== undefined && Math.abs(nearest - seconds) <= 0.02 * seconds ? nearest : seconds)
}

/** The times in a task, in seconds. */
function timesIn(brief: string): readonly number[] {
  const times = [...brief.matchAll(/(\d+(?:\.\d+)?)\s*(ms|milliseconds?|s|seconds?)\b/g)].map(
    ([, amount, unit = '']) => Number(amount) * (unit.startsWith('m') ? 0.001 : 1),
  )
  return [
    ...times,
    ...(/\bhalf a second\b/i.test(brief) ? [0.5] : []),
    ...(/\b(?:a|one|each|every) second\b/i.test(brief) ? [1] : []),
    ...(/\btwo seconds\b/i.test(brief) ? [2] : []),
  ]
}
