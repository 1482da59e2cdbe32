import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { TraceStep } from './recording.ts'

/** Half of a pair that a program can name by itself. */
export type ByteRegister =
  | ('a' | 'f' | 'b' | 'c' | 'd' | 'e' | 'h' | 'l' | 'ixh' | 'ixl' | 'iyh' | 'iyl')
  | ('a_' | 'f_' | 'b_' | 'c_' | 'd_' | 'e_' | 'h_' | 'l_')
/** Anything that has a value in every step. `iff1`, `iff2` and `isHalted` count as 0 and 1. */
export type RegisterName = keyof Registers | ByteRegister

/** Steps `from` to `to`, the last excluded. */
export interface StepSpan {
  readonly from: number
  readonly to: number
}

/** One write to a byte of memory. */
export interface MemoryWrite {
  readonly step: number
  /** When the step began. */
  readonly t: TState
  /** The instruction that wrote; for an interrupt the address that was pushed. */
  readonly pc: Addr
  readonly address: Addr
  readonly before: Byte
  /** What stands there since; equal to `before` where ROM ignored the write. */
  readonly value: Byte
}

/** An instruction that wrote to a byte, and how often. */
export interface Writer {
  readonly pc: Addr
  readonly count: number
  readonly first: MemoryWrite
  readonly last: MemoryWrite
}

/** How often an instruction ran. Each round of a block instruction and each wait of 4 T-states in HALT is a visit. */
export interface Visits {
  readonly address: Addr
  readonly count: number
  /** Steps; null where it never ran. */
  readonly first: number | null
  readonly last: number | null
  /** T-states of all visits together. */
  readonly tStates: TState
}

/** The longest time for which a digit that was lit before and after had no light. */
export interface SweepGap {
  /** From 0, the leftmost. */
  readonly digit: number
  /** End of the light before the gap, start of the light after it. */
  readonly from: TState
  readonly to: TState
  readonly tStates: TState
  /** The steps that were being executed at `from` and `to`. */
  readonly steps: StepSpan
  /** What ran meanwhile, most T-states first: where the time went. */
  readonly ranMeanwhile: readonly AddressUsage[]
}

/** T-states and visits of the instruction at an address. */
export interface AddressUsage {
  readonly address: Addr
  readonly count: number
  readonly tStates: TState
}

/** A stretch of addresses that goes by one name; both ends included. */
export interface NamedRange {
  readonly name: string
  readonly from: Addr
  readonly to: Addr
}

/** What the instructions of a named range took. */
export interface RangeUsage extends NamedRange {
  /** Instructions executed in it. */
  readonly steps: number
  readonly tStates: TState
  /** Part of all T-states of the span, 0 to 1. */
  readonly share: number
}

/** Who used how many T-states in a span of a run. The parts make up the whole exactly. */
export interface Usage {
  readonly span: StepSpan
  readonly steps: number
  readonly tStates: TState
  /** Every instruction that ran, in order of addresses. An accepted interrupt counts for the address it came before. */
  readonly byAddress: readonly AddressUsage[]
  /** The same for ranges; where two overlap the later one in the list counts, what lies in none is left out. */
  inRanges(ranges: readonly NamedRange[]): readonly RangeUsage[]
}

/** The furthest that the stack grew. */
export interface StackMark {
  /** The lowest SP before or after any step. */
  readonly sp: Addr
  /** Bytes below SP at the start; negative where the stack only shrank. */
  readonly depth: number
  /** The first step that begins with this SP. */
  readonly step: number
  readonly t: TState
  /** The step that brought it there: its PUSH, CALL or interrupt. Null when it is the start. */
  readonly by: number | null
}

/** An instruction that took a byte from memory as data; fetching an instruction's own bytes is no read. */
export interface MemoryRead {
  readonly step: number
  readonly t: TState
  readonly pc: Addr
  readonly address: Addr
  readonly value: Byte
}

/** What can be asked of the whole of a recorded run. Steps and T-states count from the start of the run. */
export interface Questions {
  /** Who wrote this byte: the last write before step `before`. Null: it stands there since the start. */
  lastWriter(address: Addr, before: number): MemoryWrite | null
  /** Every instruction that wrote there, in the order of their first writes. */
  writers(address: Addr): readonly Writer[]
  /** The last step before `before` that began with this value in the register; null when there is none. */
  lastTimeRegisterWas(register: RegisterName, value: number, before: number): number | null
  /** How often and when the instruction at an address ran. */
  visits(address: Addr): Visits
  /** The steps of its visits from step `from` on, at most `most` (default 1,000). */
  visitSteps(address: Addr, from: number, most?: number): readonly number[]
  /** Null where no digit was lit twice. */
  longestSweepGap(): SweepGap | null
  /** Which instruction was running at a T-state; the last one at the end of the run; null in a run without steps. */
  instructionAt(t: TState): TraceStep | null
  /** Over the whole run, or some steps of it. */
  usage(span?: StepSpan): Usage
  highestStackMark(): StackMark
  /** The first read of a byte that nothing in the run had written before; null when it was written first or never read. */
  readBeforeWritten(address: Addr): MemoryRead | null
  /** All such reads, the first of each byte, in the order of time. */
  allReadBeforeWritten(): readonly MemoryRead[]
}
