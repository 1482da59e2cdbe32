import type { Byte } from '../../cpu/index.ts'
import { isFields, scalar, type JsonSchema, type Schema } from './schema.ts'

/** `37h`, `0x37`, `$`-free; `00110111b`, `0b00110111`; `55`. Undefined for anything else. */
export function wholeNumber(value: unknown): number | undefined {
  if (typeof value === 'number') return Number.isInteger(value) ? value : undefined
  if (typeof value !== 'string') return undefined
  const word = value.trim().toLowerCase()
  if (/^[0-9a-f]+h$/.test(word)) return parseInt(word.slice(0, -1), 16)
  if (/^0x[0-9a-f]+$/.test(word)) return parseInt(word.slice(2), 16)
  if (/^[01]+b$/.test(word)) return parseInt(word.slice(0, -1), 2)
  if (/^0b[01]+$/.test(word)) return parseInt(word.slice(2), 2)
  return /^[0-9]+$/.test(word) ? parseInt(word, 10) : undefined
}

const numberStyles = 'as 55, 37h, 0x37 or 00110111b'
const numberPattern = '^([0-9A-Fa-f]+[hH]|0[xX][0-9A-Fa-f]+|[01]+[bB]|0[bB][01]+|[0-9]+)$'

/** A whole number in any of the number styles, `min` and `max` allowed. */
export function whole(min: number, max: number): Schema<number> {
  const json: JsonSchema = {
    anyOf: [
      { type: 'integer', minimum: min, maximum: max },
      { type: 'string', pattern: numberPattern },
    ],
  }
  return scalar(`a whole number from ${min} to ${max} (${numberStyles})`, json, (value) => {
    const read = wholeNumber(value)
    return read !== undefined && read >= min && read <= max ? read : undefined
  })
}

/** A byte, 0 to 255. */
export const byte: Schema<number> = whole(0, 0xff)
/** A 16-bit address or word, 0 to 65535. */
export const word: Schema<number> = whole(0, 0xffff)

/**
 * Bytes as in a dump, two hexadecimal digits each (`3E 05`), or a list of numbers. A bare number is refused: YAML reads
 * `bytes: 37` as decimal, and its author most likely meant 37h.
 */
export function bytes(min: number, max: number): Schema<readonly Byte[]> {
  const json: JsonSchema = {
    anyOf: [
      { type: 'string', pattern: '^\\s*([0-9A-Fa-f]{2}\\s*)*$' },
      { type: 'array', minItems: min, maxItems: max, items: byte.json(new Map()) },
    ],
  }
  const allowed = `${min} to ${max} bytes as pairs of hexadecimal digits in quotes ('3E 05') or a list of numbers`
  return scalar(allowed, json, (value) => {
    const read = readBytes(value)
    return read !== undefined && read.length >= min && read.length <= max ? read : undefined
  })
}

function readBytes(value: unknown): readonly Byte[] | undefined {
  if (Array.isArray(value)) {
    const items = value.map(wholeNumber)
    const good = items.filter((item) => item !== undefined && item <= 0xff)
    return good.length === items.length ? (good as readonly Byte[]) : undefined
  }
  if (typeof value !== 'string') return undefined
  const digits = value.replace(/\s+/g, '')
  if (!/^([0-9a-f]{2})*$/i.test(digits)) return undefined
  return Array.from({ length: digits.length / 2 }, (_, i) => parseInt(digits.slice(2 * i, 2 * i + 2), 16))
}

export type Unit = 'T' | 'us' | 'ms' | 's' | 'Hz' | '%' | 'times'

/** A figure with its unit, as written. */
export type Amount = { readonly amount: number; readonly unit: Unit }

/** `250 ms`, `2 s`, `1250000 T`, `±5 %`; a bare number has the first unit. The form that was read is taken again. */
function amount(units: readonly Unit[], allowed: string): Schema<Amount> {
  const pattern = `^(±|\\+-)?\\s*[0-9]+(\\.[0-9]+)?\\s*(${units.join('|')})$`
  const first = units[0] ?? 'T'
  const json: JsonSchema = {
    anyOf: [
      { type: 'string', pattern },
      { type: 'number', minimum: 0 },
    ],
  }
  return scalar(allowed, json, (value) => {
    if (typeof value === 'number') return value >= 0 ? { amount: value, unit: first } : undefined
    if (typeof value === 'string') {
      const match = /^(?:±|\+-)?\s*([0-9]+(?:\.[0-9]+)?)\s*(T|us|ms|s|Hz|%|times)$/.exec(value.trim())
      const unit = units.find((each) => each === match?.[2])
      return match === null || unit === undefined ? undefined : { amount: Number(match[1]), unit }
    }
    if (!isFields(value) || typeof value['amount'] !== 'number' || value['amount'] < 0) return undefined
    const unit = units.find((each) => each === value['unit'])
    return unit === undefined ? undefined : { amount: value['amount'], unit }
  })
}

/** A length of time; a bare number counts T-states. */
export const duration: Schema<Amount> = amount(['T', 'us', 'ms', 's'], "a time such as '250 ms', '2 s' or '1250000 T'")

/** How far a measured figure may be from the wanted one, the limit itself included. */
export function tolerance(...units: Unit[]): Schema<Amount> {
  return amount(units, `a tolerance such as ${units.map((unit) => `'±1 ${unit}'`).join(' or ')}`)
}

/** Whole T-states of a length of time on a clock, nearest. */
export function tStatesOf(time: Amount, clockHz: number): number {
  switch (time.unit) {
    case 's':
      return Math.round(time.amount * clockHz)
    case 'ms':
      return Math.round((time.amount * clockHz) / 1e3)
    case 'us':
      return Math.round((time.amount * clockHz) / 1e6)
    default:
      return Math.round(time.amount)
  }
}

/** The widest allowed distance from `wanted`, in the unit of `wanted`; times are turned into T-states. */
export function distanceOf(limit: Amount, wanted: number, clockHz: number): number {
  if (limit.unit === '%') return (limit.amount * wanted) / 100
  return limit.unit === 's' || limit.unit === 'ms' || limit.unit === 'us' ? tStatesOf(limit, clockHz) : limit.amount
}

/** `±1 %`, `±26 T`. */
export function toleranceText(limit: Amount): string {
  return limit.unit === 'times' ? `±${limit.amount}` : `±${limit.amount} ${limit.unit === 'us' ? 'µs' : limit.unit}`
}
