import type { Byte } from '../cpu/index.ts'

/** The two check bytes of a line of a keying sheet. */
export interface CheckBytes {
  /** Sum of the bytes, modulo 256: changes with every single wrong byte. */
  readonly s: Byte
  /** Sum of 1 × first, 2 × second, … modulo 256: changes with every swap of two unlike neighbours. */
  readonly w: Byte
}

/** Most bytes on one line of a keying sheet. */
export const bytesPerKeyingLine = 8

/** S and W of the bytes of one line, of which there are at most eight. */
export function checkBytes(bytes: ArrayLike<Byte>): CheckBytes {
  let s = 0
  let w = 0
  for (let i = 0; i < bytes.length; i += 1) {
    const byte = bytes[i] ?? 0
    s += byte
    w += (i + 1) * byte
  }
  return { s: s & 0xff, w: w & 0xff }
}
