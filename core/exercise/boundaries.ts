import { showByte, showWord } from '../image/index.ts'
import { isByteRegister, type Draw } from './case.ts'
import { registerText } from './checks/registers.ts'

/** Values in place of what a case would draw: for each draw its values in order, or null where they are drawn all the same. */
export interface Boundary {
  /** `4600h = 80h`, `A = 00h`, `all equal`. */
  readonly title: string
  readonly values: readonly (readonly number[] | null)[]
}

/** Where counts, signs, pages and carries turn over. */
const byteEdges = [0, 1, 0x7f, 0x80, 0xff]
const wordEdges = [...byteEdges, 0x100, 0x7fff, 0x8000, 0xffff]
const decimalEdges = [0, 1, 9, 10, 99]

/** Most runs that `boundaries` adds to a case. */
export const mostBoundaries = 64

/**
 * The runs that `boundaries: true` adds to a case: each value at the limits of its range and where bytes and words turn
 * over (0, 1, 7Fh, 80h, FFh, 100h, 7FFFh, 8000h, FFFFh, as far as its range has them), the others drawn; of several bytes
 * the highest and the lowest value in the first and in the last place; all values lowest, all highest, all equal.
 */
export function boundariesOf(draws: readonly Draw[]): readonly Boundary[] {
  if (draws.length === 0) return []
  const alone = draws.flatMap((draw, i): Boundary[] => {
    const only = (title: string, values: readonly number[]): Boundary => ({
      title,
      values: draws.map((_, j) => (j === i ? values : null)),
    })
    if (draw.length === 1) return edgesOf(draw).map((value) => only(valueText(draw, value), [value]))
    const { length, from, to } = draw
    const last = length - 1
    const middle = Math.floor((from + to) / 2)
    const at = (place: number, value: number, rest: number): number[] =>
      Array.from({ length }, (_, j) => (j === place ? value : rest))
    return [
      only(`${nameOf(draw)}: highest first`, at(0, to, middle)),
      only(`${nameOf(draw)}: highest last`, at(last, to, middle)),
      only(`${nameOf(draw)}: lowest first`, at(0, from, middle)),
      only(`${nameOf(draw)}: lowest last`, at(last, from, middle)),
      ...edgesOf(draw).map((value) => only(`${nameOf(draw)}: all ${stored(draw, value)}`, at(-1, value, value))),
    ]
  })
  if (draws.length === 1) return alone
  const fill = (valueOf: (draw: Draw) => number): readonly number[][] =>
    draws.map((draw) => Array.from({ length: draw.length }, () => valueOf(draw)))
  const low = Math.max(...draws.map(({ from }) => from))
  const high = Math.min(...draws.map(({ to }) => to))
  return [
    ...alone,
    { title: 'all lowest', values: fill(({ from }) => from) },
    { title: 'all highest', values: fill(({ to }) => to) },
    ...(low <= high ? [{ title: 'all equal', values: fill(() => Math.floor((low + high) / 2)) }] : []),
  ]
}

function edgesOf({ register, from, to, decimal }: Draw): readonly number[] {
  const isByte = register === null || isByteRegister(register)
  const edges = decimal ? decimalEdges : isByte ? byteEdges : wordEdges
  const inside = edges.filter((value) => value >= from && value <= to)
  return [...new Set([from, ...inside, to])].sort((a, b) => a - b)
}

/** What stands in the register or byte for a value. */
export function storedValue({ decimal }: Pick<Draw, 'decimal'>, value: number): number {
  return decimal ? Math.floor(value / 10) * 16 + (value % 10) : value
}

function stored(draw: Draw, value: number): string {
  const held = storedValue(draw, value)
  return draw.register === null || isByteRegister(draw.register) ? showByte(held) : showWord(held)
}

function nameOf({ register, at, length }: Draw): string {
  if (register !== null) return register.toUpperCase()
  return length === 1 ? showWord(at ?? 0) : `${showWord(at ?? 0)} to ${showWord((at ?? 0) + length - 1)}`
}

function valueText(draw: Draw, value: number): string {
  if (draw.register !== null) return registerText(draw.register, storedValue(draw, value))
  return `${nameOf(draw)} = ${stored(draw, value)}`
}
