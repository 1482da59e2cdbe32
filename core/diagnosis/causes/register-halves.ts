import type { Registers, UsedRegister } from '../../cpu/index.ts'

/** The pair that a byte register belongs to. */
export const pairOf: Readonly<Record<string, string>> = {
  ...{ A: 'AF', B: 'BC', C: 'BC', D: 'DE', E: 'DE', H: 'HL', L: 'HL' },
  ...{ IXH: 'IX', IXL: 'IX', IYH: 'IY', IYL: 'IY' },
}

/** The value of a byte register. */
export function halfOf(registers: Registers, half: UsedRegister): number {
  const pair = (pairOf[half] ?? '').toLowerCase()
  const word = registers[pair as keyof Registers]
  if (typeof word !== 'number') return 0
  return /^[ABDH]$|H$/.test(half) ? word >> 8 : word & 0xff
}
