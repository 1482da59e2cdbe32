/** The bits of F, by the letters that `rules.ts` puts behind `bit`. Y and X are undocumented copies of bits 5 and 3. */
export const flagBits = { S: 0x80, Z: 0x40, Y: 0x20, H: 0x10, X: 0x08, P: 0x04, N: 0x02, C: 0x01 } as const
const { S, Z, Y, H, X, P, N, C } = flagBits

const sz53 = (result: number) => (result & (S | Y | X)) | (result === 0 ? Z : 0)

function isEven(byte: number): boolean {
  let ones = 0
  for (let rest = byte; rest > 0; rest >>= 1) ones += rest & 1
  return ones % 2 === 0
}

const carries = (bits: number) =>
  (bits & 0x10 ? H : 0) | (((bits >> 7) ^ (bits >> 8)) & 1 ? P : 0) | (bits & 0x100 ? C : 0)

/** The flag tables that rules may look up, by the number of bits of their index. */
export const flagTables = {
  sz53: { bits: 8, flags: sz53 },
  sz53p: { bits: 8, flags: (result: number) => sz53(result) | (isEven(result) ? P : 0) },
  incremented: {
    bits: 8,
    flags: (result: number) => sz53(result) | ((result & 0x0f) === 0 ? H : 0) | (result === 0x80 ? P : 0),
  },
  decremented: {
    bits: 8,
    flags: (result: number) => sz53(result) | ((result & 0x0f) === 0x0f ? H : 0) | (result === 0x7f ? P : 0) | N,
  },
  carries: { bits: 9, flags: carries },
  borrows: { bits: 9, flags: (bits: number) => carries(bits) | N },
} as const

export type FlagTable = keyof typeof flagTables
