/** Figures as people read them. Hexadecimal comes from core/image (`showByte`, `showWord`). */

const group = (digits: string): string => digits.replace(/\B(?=(\d{3})+$)/g, '\u202f')

/** A whole number with a thin space between thousands: `1 250 008`. */
export function whole(value: number): string {
  return value < 0 ? `−${group(String(Math.round(-value)))}` : group(String(Math.round(value)))
}

/** A score of 100 with at most one place, none when it is whole: `100`, `62.5`. Never rounds up to 100. */
export function score(value: number): string {
  const rounded = Math.round(value * 10) / 10
  const shown = rounded >= 100 && value < 100 ? 99.9 : rounded
  return String(shown)
}

/** `45 of 60`, `7.5 of 10`. */
export function marks(given: number, outOf: number): string {
  return `${score(given)} of ${score(outOf)}`
}

/** `14 T`, `1 250 008 T`. */
export function tStates(count: number): string {
  return `${whole(count)} T`
}

/** T-states as time on a board's clock, in the unit that suits: `34.4 µs`, `8 ms`, `2 s`. */
export function duration(count: number, clockHz: number): string {
  const seconds = count / clockHz
  if (seconds >= 1) return `${trim(seconds)} s`
  if (seconds >= 0.001) return `${trim(seconds * 1000)} ms`
  return `${trim(seconds * 1_000_000)} µs`
}

function trim(value: number): string {
  return String(Number(value.toPrecision(4)))
}

/** `1 byte`, `14 bytes`. */
export function count(value: number, noun: string, nouns = `${noun}s`): string {
  return `${whole(value)} ${value === 1 ? noun : nouns}`
}
