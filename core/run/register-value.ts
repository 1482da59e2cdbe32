import type { AnyRegister, Registers } from '../cpu/index.ts'

type Pair = 'af' | 'bc' | 'de' | 'hl' | 'af_' | 'bc_' | 'de_' | 'hl_' | 'ix' | 'iy'

/** Halves of pairs, with how far to shift. */
const halves: Readonly<Partial<Record<AnyRegister, readonly [pair: Pair, shift: number]>>> = {
  ...{ a: ['af', 8], f: ['af', 0], b: ['bc', 8], c: ['bc', 0], d: ['de', 8], e: ['de', 0], h: ['hl', 8], l: ['hl', 0] },
  ...{ a_: ['af_', 8], f_: ['af_', 0], b_: ['bc_', 8], c_: ['bc_', 0], d_: ['de_', 8], e_: ['de_', 0] },
  ...{ h_: ['hl_', 8], l_: ['hl_', 0], ixh: ['ix', 8], ixl: ['ix', 0], iyh: ['iy', 8], iyl: ['iy', 0] },
}

/** The value of a register, a pair or one of its halves; booleans are 0 and 1. */
export function registerValue(registers: Readonly<Registers>, name: AnyRegister): number {
  const half = halves[name]
  if (half !== undefined) return (registers[half[0]] >> half[1]) & 0xff
  return Number(registers[name as keyof Registers])
}
