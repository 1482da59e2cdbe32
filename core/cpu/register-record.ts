import type { Registers } from './cpu.ts'
import type { Addr, Byte } from './instruction.ts'
import { layout } from './layout.ts'

/**
 * The registers that stand from `at` on in an engine's block of bytes: its own, or a record of the trace, which has them in
 * the same order. `r` and `q` are worked out by the caller; `pc` is the record's own when null.
 */
export function registersAt(m: Uint8Array, w: Uint16Array, at: number, pc: Addr | null, r: Byte, q: Byte): Registers {
  const offset = at - layout.registers
  const first = at >> 1
  const im = m[layout.im + offset]
  // One flat literal: built by spreading it takes hundreds of times as long.
  return {
    af: w[first] ?? 0,
    bc: w[first + 1] ?? 0,
    de: w[first + 2] ?? 0,
    hl: w[first + 3] ?? 0,
    af_: w[first + 4] ?? 0,
    bc_: w[first + 5] ?? 0,
    de_: w[first + 6] ?? 0,
    hl_: w[first + 7] ?? 0,
    ix: w[first + 8] ?? 0,
    iy: w[first + 9] ?? 0,
    sp: w[first + 10] ?? 0,
    pc: pc ?? w[first + 12] ?? 0,
    i: m[layout.i + offset] ?? 0,
    r,
    wz: w[first + 11] ?? 0,
    q,
    im: im === 1 || im === 2 ? im : 0,
    iff1: m[layout.iff1 + offset] !== 0,
    iff2: m[layout.iff2 + offset] !== 0,
    isHalted: m[layout.halted + offset] !== 0,
  }
}
