import { valueOf, type InputPlace, type PlacedValue } from './inputs.ts'
import type { Stage } from '../../../trial/index.ts'

/** Where a byte's and a word's arithmetic turns over, with and without a sign. */
const bytes = [0, 0xff, 0x80, 1, 0x7f]
const words = [0x100, 0, 0xff, 1, 0x101, 0x7fff, 0x8000, 0xffff]
const decimals = [0x00, 0x01, 0x09, 0x10, 0x49, 0x50, 0x99]
/** Places of which every pair is tried together. */
const mostPaired = 4
/** Places that are tried one by one: of a longer row its first and last ones. */
const mostPlaces = 12

/** Sets of values in which programs differ that do the same elsewhere; no set twice, the telling ones first. */
export function telling(
  stage: Stage,
  places: readonly InputPlace[],
  numbers: readonly number[],
): readonly (readonly PlacedValue[])[] {
  const some = places.length <= mostPlaces ? places : [...places.slice(0, mostPlaces - 2), ...places.slice(-2)]
  const sets = [
    ...inTurn([
      ...some.map((place) => borderValues(place, numbers).map((value) => [{ place, value }])),
      rowSets(stage, places),
      pairSets(stage, some.slice(0, mostPaired)),
    ]),
  ]
  const seen = new Set<string>()
  return sets.filter((set) => {
    const changing = set.filter(({ place, value }) => valueOf(stage, place) !== value)
    const key = JSON.stringify(set.map(({ place, value }) => [place.register, place.at, value]))
    if (changing.length === 0 || seen.has(key)) return false
    seen.add(key)
    return true
  })
}

/** One value at a time: the borders of what the cases have and one beyond, and what the program compares with. */
function borderValues(place: InputPlace, numbers: readonly number[]): readonly number[] {
  if (place.isDecimal) return decimals
  const near = (value: number): readonly number[] => [value - 1, value, value + 1]
  const most = place.width === 1 ? 0xff : 0xffff
  const usual = place.width === 1 ? [...bytes, ...numbers.flatMap(near)] : [...words, ...pageEnds(place)]
  return [...new Set([...usual, ...[place.low, place.high].flatMap(near)])].filter(
    (value) => value >= 0 && value <= most,
  )
}

/** The last addresses of the pages that the values are in. */
function pageEnds({ low, high }: InputPlace): readonly number[] {
  return [low, high].flatMap((value) => [(value & 0xff00) | 0xfe, (value & 0xff00) | 0xff])
}

/** Two places alike, one more, one less, and adding up to what just fits and just does not. */
function pairSets(stage: Stage, places: readonly InputPlace[]): readonly (readonly PlacedValue[])[] {
  return places.flatMap((one, i) =>
    places.slice(i + 1).flatMap((other) => {
      if (one.width !== other.width || one.isDecimal !== other.isDecimal) return []
      const first = valueOf(stage, one)
      const whole = one.width === 1 ? 0x100 : 0x10000
      const values = one.isDecimal ? [first] : [first, first - 1, first + 1, whole - first, whole - 1 - first]
      return values.flatMap((value) => (value < 0 || value >= whole ? [] : [[{ place: other, value }]]))
    }),
  )
}

/** Rows of three bytes and more: the largest first, last, twice; the smallest likewise; all alike. */
function rowSets(stage: Stage, places: readonly InputPlace[]): readonly (readonly PlacedValue[])[] {
  return rowsOf(places).flatMap((row) => {
    const values = row.map((place) => valueOf(stage, place))
    const [low, high] = [Math.min(...row.map((each) => each.low)), Math.max(...row.map((each) => each.high))]
    const at = (extreme: number, other: (value: number) => number, ...where: number[]): readonly PlacedValue[] =>
      row.map((place, i) => ({ place, value: where.includes(i) ? extreme : other(values[i] ?? 0) }))
    const below = (value: number): number => Math.max(low, Math.min(value, high - 1))
    const above = (value: number): number => Math.min(high, Math.max(value, low + 1))
    const last = row.length - 1
    if (row.some(({ isDecimal }) => isDecimal)) return []
    return [
      ...[[0], [last], [0, last], [1, 2]].map((where) => at(high, below, ...where)),
      ...[[0], [last], [0, last]].map((where) => at(low, above, ...where)),
      ...[low, high].map((value) => row.map((place) => ({ place, value }))),
    ]
  })
}

/** Bytes one behind the other. */
function rowsOf(places: readonly InputPlace[]): readonly (readonly InputPlace[])[] {
  const rows: InputPlace[][] = []
  for (const place of places.filter(({ register, width }) => register === null && width === 1)) {
    const row = rows.at(-1)
    if (row?.at(-1)?.at === place.at - 1) row.push(place)
    else rows.push([place])
  }
  return rows.filter((row) => row.length >= 3)
}

/** The first of each list, then the second of each. */
export function inTurn<T>(lists: readonly (readonly T[])[]): readonly T[] {
  const longest = Math.max(0, ...lists.map((list) => list.length))
  return Array.from({ length: longest }, (_, i) => lists.flatMap((list) => list.slice(i, i + 1))).flat()
}
