import { registerBits, type RegisterName } from './effect.ts'

/**
 * What a program can keep a value in, beside memory: the flags from bit 0 of F on, then registers by halves. The second set
 * has its F in one piece. The number of a part is its place here; there are 31, so that a set of them is one whole number.
 */
export const registerParts = [
  ...['CF', 'NF', 'PF', 'XF', 'HF', 'YF', 'ZF', 'SF'],
  ...['A', 'B', 'C', 'D', 'E', 'H', 'L', 'IXH', 'IXL', 'IYH', 'IYL', 'I', 'R', 'SP', 'IFF'],
  ...["A'", "F'", "B'", "C'", "D'", "E'", "H'", "L'"],
] as const satisfies readonly string[]

/** The number of a part by its name. */
export const partOf: Readonly<Record<string, number>> = Object.fromEntries(
  registerParts.map((name, part) => [name, part]),
)
/** The halves of the registers of 16 bits. */
export const pairs: Readonly<Record<string, readonly [high: string, low: string]>> = {
  ...{ AF: ['A', 'F'], BC: ['B', 'C'], DE: ['D', 'E'], HL: ['H', 'L'], IX: ['IXH', 'IXL'], IY: ['IYH', 'IYL'] },
  ...{ "AF'": ["A'", "F'"], "BC'": ["B'", "C'"], "DE'": ["D'", "E'"], "HL'": ["H'", "L'"] },
}
/** Latches that no program can name: what goes into them shows at most in bits 5 and 3 of F. */
export const hidden: readonly string[] = ['WZ', 'Q', 'PC', 'IM']

/** A bit for each of the parts that `mask` of a register's value lies in. */
export function partsOf(name: RegisterName, mask: number): number {
  if (hidden.includes(name)) return 0
  if (name === 'F') return mask & 0xff
  if (name === 'IFF1' || name === 'IFF2') return 1 << (partOf['IFF'] ?? 0)
  const halves = pairs[name]
  if (halves === undefined) return (mask & (2 ** registerBits[name] - 1)) === 0 ? 0 : 1 << (partOf[name] ?? 0)
  const high = (mask & 0xff00) === 0 ? 0 : 1 << (partOf[halves[0]] ?? 0)
  if (name === 'AF') return high | (mask & 0xff)
  return high | ((mask & 0xff) === 0 ? 0 : 1 << (partOf[halves[1]] ?? 0))
}
