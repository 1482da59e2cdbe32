/** The unit that a value change dump counts in, and how many of it one T-state lasts. */
export interface Timescale {
  /** 1, 10 or 100 of s, ms, us, ns, ps or fs: `100 ns`. */
  readonly text: string
  /** Null where a T-state is no whole number of femtoseconds. */
  readonly ticksPerTState: bigint | null
  /** The time of a T-state in this unit; rounded to the nearest where it has to be. */
  ticks(t: number): bigint
}

const units = ['fs', 'ps', 'ns', 'us', 'ms', 's'] as const
const femtosecondsInSecond = 10n ** 15n
/** Where rounding cannot be avoided it is at most half a picosecond, and does not add up. */
const roundedUnit = { text: '1 ps', inSecond: 10n ** 12n }

/** The coarsest unit in which every T-state of a clock of `clockHz` (whole) is exact. */
export function timescaleOf(clockHz: number): Timescale {
  const hz = BigInt(clockHz)
  if (femtosecondsInSecond % hz !== 0n)
    return {
      text: roundedUnit.text,
      ticksPerTState: null,
      ticks: (t) => (2n * BigInt(t) * roundedUnit.inSecond + hz) / (2n * hz),
    }
  const period = femtosecondsInSecond / hz
  let power = 0
  while (power < 17 && period % 10n ** BigInt(power + 1) === 0n) power += 1
  const perTick = 10n ** BigInt(power)
  const ticksPerTState = period / perTick
  return {
    text: `${10 ** (power % 3)} ${units[Math.floor(power / 3)] ?? 's'}`,
    ticksPerTState,
    ticks: (t) => BigInt(t) * ticksPerTState,
  }
}
