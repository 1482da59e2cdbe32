import { byteDigits, showCount } from '../image/index.ts'
import type { Amount } from './schema/index.ts'

/** `3E 05 06`: bytes as in a dump; more than 16 are cut. */
export function bytesText(bytes: Iterable<number>): string {
  const all = Array.from(bytes, byteDigits)
  return all.length > 16 ? `${all.slice(0, 16).join(' ')} … (${showCount(all.length, 'byte')})` : all.join(' ')
}

/** `1,250,008`: a count with its thousands set off. */
export function countText(value: number): string {
  return String(value).replace(/^\d+/, (digits) => digits.replace(/\B(?=(\d{3})+$)/g, ','))
}

/** At most `places` decimals, without zeros at the end: `996.8`, `50`. */
export function figureText(value: number, places = 1): string {
  const fixed = value.toFixed(places)
  return countText(Number(fixed))
}

/** `1,250,008 T (500.003 ms)`. */
export function timeText(tStates: number, clockHz: number): string {
  return `${countText(tStates)} T (${milliseconds(tStates, clockHz)})`
}

/** `500.003 ms`; below a millisecond in µs, from ten seconds up in s. */
export function milliseconds(tStates: number, clockHz: number): string {
  const ms = (tStates * 1000) / clockHz
  if (ms >= 10_000) return `${figureText(ms / 1000, 3)} s`
  return ms > 0 && ms < 1 ? `${figureText(ms * 1000, 1)} µs` : `${figureText(ms, 3)} ms`
}

/** `2 s`, `250 ms`, `1,250,000 T`: a time as its author wrote it. */
export function amountText(time: Amount): string {
  return `${countText(time.amount)} ${time.unit === 'us' ? 'µs' : time.unit}`
}

/** `LDIR, LDDR or DJNZ`. */
export function orList(items: readonly string[]): string {
  return items.length < 2 ? (items[0] ?? '') : `${items.slice(0, -1).join(', ')} or ${items.at(-1)}`
}

/** `LDIR, LDDR and DJNZ`. */
export function andList(items: readonly string[]): string {
  return items.length < 2 ? (items[0] ?? '') : `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`
}
