import type { Addr, Byte, TState } from './instruction.ts'

/** Every register of the Z80 that a program or a test can tell apart. Pairs with a trailing `_` are the second set. */
export interface Registers {
  af: number
  bc: number
  de: number
  hl: number
  af_: number
  bc_: number
  de_: number
  hl_: number
  ix: number
  iy: number
  sp: Addr
  pc: Addr
  i: Byte
  r: Byte
  /** MEMPTR, the internal address latch; bits 3 and 5 of F show it after BIT n,(HL). */
  wz: number
  /** F if the last instruction changed the flags, else 0: decides bits 3 and 5 after SCF and CCF. */
  q: Byte
  im: 0 | 1 | 2
  iff1: boolean
  iff2: boolean
  /** Executing HALT: the clock and R run on, PC stands on the next instruction. */
  isHalted: boolean
  /** The instruction just executed was EI: no maskable interrupt is taken before the next one. */
  isEiShadow: boolean
}

/**
 * What the CPU is wired to. `t` is the exact T-state of the port strobe, `pc` the address of the instruction (in
 * `acknowledge`: the address that will be pushed). A call may change the interrupt line or set attribute bits: both take
 * effect in the middle of `run`.
 */
export interface Bus {
  /** IN: the whole 16-bit port address as on the bus. */
  readPort(port: number, t: TState, pc: Addr): Byte
  writePort(port: number, value: Byte, t: TState, pc: Addr): void
  /** The byte on the data bus while a maskable interrupt is acknowledged (read in modes 0 and 2). Clears a latched request. */
  acknowledge(t: TState, pc: Addr): Byte
  /** Called for a write to, or a fetch from, a byte whose attribute asks for it. `pc` is the address of the instruction. */
  watchedWrite(address: Addr, value: Byte, t: TState, pc: Addr): void
}

/** Bits of the attribute that every byte of memory has. */
export const attribute = {
  /** Writes are ignored (they are still reported if `watchWrite` is set too). */
  readOnly: 1,
  /** A write calls `bus.watchedWrite` before it takes place. */
  watchWrite: 2,
  /** `run` stops, before executing, when an instruction begins at this byte. */
  stopAt: 4,
} as const

/** Why `run` came back. */
export type CpuStop = 'limit' | 'halted' | 'stop-at'

/** One instruction as executed: state before it, and what it wrote. Filled by `stepTraced` and the trace of `run`. */
export interface Cpu {
  /** All 65,536 bytes; writing here is what a loader does and is not checked against `attributes`. */
  readonly memory: Uint8Array
  /** One attribute byte for each byte of memory. */
  readonly attributes: Uint8Array
  /** T-states since power-on or `restore`. Whole, exact to 2^53. */
  tStates: TState
  /** Instructions executed since power-on (an accepted interrupt counts as one; a HALT waiting as one for each 4 T-states). */
  steps: number
  /** Address of the last instruction executed. */
  readonly lastPc: Addr
  /** A fresh copy of the registers. */
  registers(): Registers
  setRegisters(some: Partial<Registers>): void
  /** Level of the INT pin. Sampled at the end of each instruction; the bus clears its own latch in `acknowledge`. */
  setInterruptLine(isActive: boolean): void
  /** A falling edge on the NMI pin. */
  requestNmi(): void
  /** The RESET pin: PC, I, R = 0, IM 0, interrupts off. Memory stays. */
  reset(): void
  /**
   * Run until `tStates >= limit`, or HALT is entered with `stopOnHalt`, or an instruction is about to start at a byte marked
   * `stopAt`. Instructions are never cut: `tStates` may pass `limit` by the rest of the last one. Ports see exact times.
   */
  run(limit: TState, stopOnHalt: boolean): CpuStop
  /** Execute exactly one instruction (its prefixes with it), or accept one interrupt. Returns its T-states. */
  step(): number
}
