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
}

/** Half of a pair, and anything else that has a value between two instructions. */
export type ByteRegister =
  | ('a' | 'f' | 'b' | 'c' | 'd' | 'e' | 'h' | 'l' | 'ixh' | 'ixl' | 'iyh' | 'iyl')
  | ('a_' | 'f_' | 'b_' | 'c_' | 'd_' | 'e_' | 'h_' | 'l_')
export type AnyRegister = keyof Registers | ByteRegister

/**
 * All that the CPU knows besides memory, between two instructions. `restore(save())` changes nothing, and two machines with
 * equal state and memory go on alike.
 */
export interface CpuState {
  readonly registers: Readonly<Registers>
  readonly tStates: TState
  readonly steps: number
  /** Right after EI: a maskable interrupt waits for one more instruction. */
  readonly isAfterEi: boolean
  /** In the middle of a chain of more prefixes than any program has: no interrupt is accepted. */
  readonly isAfterPrefix: boolean
  /** Right after LD A,I or LD A,R: an interrupt accepted now clears P/V. */
  readonly isAfterInterruptFlag: boolean
  readonly isInterruptLineActive: boolean
  readonly isNmiPending: boolean
}

/** What the CPU is wired to. `t` is the exact T-state of the port strobe. */
export interface Bus {
  /** IN: the whole 16-bit port address as on the bus. */
  readPort(port: number, t: TState): Byte
  writePort(port: number, value: Byte, t: TState): void
  /** The byte on the data bus while a maskable interrupt is acknowledged (used in modes 0 and 2). Clears a latched request. */
  acknowledge(t: TState): Byte
  /** Called for a write to a byte whose attribute asks for it. `pc` is the address of the instruction. */
  watchedWrite(address: Addr, value: Byte, t: TState, pc: Addr): void
}

/** Bits of the attribute that every byte of memory has. 0x40 is the engine's own. */
export const attribute = {
  /** Writes are ignored (they are still reported if `watchWrite` is set too). */
  readOnly: 1,
  /** A write calls `bus.watchedWrite` before it takes place. */
  watchWrite: 2,
  /** `run` stops, before executing, when an instruction begins at this byte. */
  stopAt: 4,
  /** Taken off by the first write to the byte. */
  unwritten: 8,
  /** The byte holds what nothing has set; taken off by the first write to it too. */
  undefined: 0x10,
  /** With `stopAt`: `run` stops only where the instruction would read a byte marked `undefined`; see `stopsForUndefined`. */
  onlyForUndefined: 0x20,
  /** With `undefined`: writes do not take it off. */
  staysUndefined: 0x80,
} as const

/**
 * Why `run` came back: the time is up; HALT; an instruction is about to begin at a byte marked `stopAt`; the number of steps
 * is done; `requestStop` was called.
 */
export type CpuStop = 'limit' | 'halted' | 'stop-at' | 'steps' | 'requested'

/** A byte that an instruction wrote: in ROM `value` equals `before`. */
export interface TracedWrite {
  readonly address: Addr
  readonly before: Byte
  readonly value: Byte
}

/** One instruction as executed, with the state before it. */
export interface TracedStep {
  /** Acceptance of an interrupt and 4 T-states of waiting in HALT are steps too. */
  readonly kind: 'instruction' | 'interrupt' | 'halted'
  readonly t: TState
  readonly pc: Addr
  readonly before: Registers
  readonly writes: readonly TracedWrite[]
}

/** The last steps of all that ran while tracing was on. */
export interface Trace {
  /** How many steps are there: at most `capacity`, the newest. */
  readonly length: number
  readonly capacity: number
  /** Counted from the oldest, 0. What a step left behind is the state before the next one, or the CPU's own. */
  at(index: number): TracedStep
  /** Single numbers of a step, for walking over many. */
  tAt(index: number): TState
  pcAt(index: number): Addr
  spAt(index: number): Addr
  /**
   * Reads one register of many steps: a function from the step, counted as in `at`, to the value before it (booleans are 0
   * and 1). Good until the next step is traced; outside `0` to `length - 1` the numbers mean nothing.
   */
  column(register: AnyRegister): (index: number) => number
  /** The same for when a step began, what kind it is (0 instruction, 1 interrupt, 2 halted), how often it wrote (0 to 2). */
  times(): (index: number) => TState
  kinds(): (index: number) => number
  writeCounts(): (index: number) => number
  /** One write, `which` from 0: its address in bits 0 to 15, then the byte before and the byte written. */
  writeAt(index: number, which: number): number
}

/** A Z80 with 64 KB of memory. */
export interface Cpu {
  /** All 65,536 bytes; writing here is what a loader does and is not checked against `attributes`. Always the same array. */
  readonly memory: Uint8Array
  /** One attribute byte for each byte of memory. Always the same array. */
  readonly attributes: Uint8Array
  /** T-states since power-on or `restore`. Whole, exact to 2^53. In a call of the bus: the time given to it. */
  tStates: TState
  /** Instructions executed since power-on (an accepted interrupt counts as one; a HALT waiting as one for each 4 T-states). */
  steps: number
  /** A fresh copy of the registers. In a call of the bus PC is that of the instruction, R may lag behind. */
  registers(): Registers
  setRegisters(some: Partial<Registers>): void
  /**
   * In a call of the bus the address of the instruction that is being executed, in `acknowledge` the one that will be
   * pushed; else that of the next instruction.
   */
  readonly instructionAddress: Addr
  /** The address of the last instruction executed, its prefixes with it; 0 before the first one, and after `restore`. */
  readonly lastPc: Addr
  /** Level of the INT pin. Sampled at the end of each instruction; the bus clears its own latch in `acknowledge`. */
  setInterruptLine(isActive: boolean): void
  /** A falling edge on the NMI pin. */
  requestNmi(): void
  /** The RESET pin: PC, I, R = 0, IM 0, interrupts off. Memory stays. */
  reset(): void
  /**
   * Run until `tStates >= limit` (any number but NaN), or HALT is entered with `stopOnHalt`, or an instruction is about to start at a byte marked
   * `stopAt` (also the very first one: `step` goes past it). Instructions are never cut: `tStates` may pass `limit` by the
   * rest of the last one. Ports see exact times.
   */
  run(limit: TState, stopOnHalt: boolean): CpuStop
  /** The same, and comes back when `count` steps are done. */
  runSteps(count: number, limit: TState, stopOnHalt: boolean): CpuStop
  /**
   * The next `count` times that an instruction is about to begin at `address`, `run` does not stop there though the byte is
   * marked `stopAt`; `step` does not count. One address at a time; `restore` forgets it.
   */
  passAt(address: Addr, count: number): void
  /** How many of these times are still to come. */
  readonly passesLeft: number
  /** Execute exactly one instruction (its prefixes with it), or accept one interrupt. Returns its T-states. */
  step(): number
  /** To be called by the bus: `run` comes back at the end of the running instruction. */
  requestStop(): void
  save(): CpuState
  restore(state: CpuState): void
  /** The pages of 256 bytes that the program has written to since the last call, in rising order. */
  takeDirtyPages(): readonly number[]
  /** Starts an empty trace (about a third of the speed), or ends it and keeps what is there. */
  setTracing(isOn: boolean): void
  readonly trace: Trace
  /** Starts to follow the lowest SP at the beginning of any instruction, from now on, or stops doing so. */
  setStackWatch(isOn: boolean): void
  /** 0x10000 before any instruction has begun while it was followed. */
  readonly lowestSp: number
}
