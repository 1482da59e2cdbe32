import type { Addr, AnyRegister, Byte, TState } from '../cpu/index.ts'
import type { TraceStep } from './recording.ts'

/** Anything that has a value in every step. `iff1`, `iff2` and `isHalted` count as 0 and 1. */
export type RegisterName = AnyRegister

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

/** How often an instruction ran. Each round of a block instruction counts. */
export interface Visits {
  readonly address: Addr
  readonly count: number
  /** Of a HALT: how many times 4 T-states it waited. */
  readonly waits: number
  /** The first and the last step that executed it; null where it never ran. */
  readonly first: number | null
  readonly last: number | null
  /** T-states of all that together. */
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

/** What the instruction at an address took: steps and T-states, waiting in HALT included. */
export interface AddressUsage {
  readonly address: Addr
  readonly steps: number
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

/** Who used how many T-states in a span of a run. What `byAddress` has and `interrupts` make up the whole exactly. */
export interface Usage {
  readonly span: StepSpan
  readonly steps: number
  readonly tStates: TState
  /** Every instruction that ran, in order of addresses. */
  readonly byAddress: readonly AddressUsage[]
  /** Interrupts accepted, and the T-states of the acceptance alone. */
  readonly interrupts: { readonly steps: number; readonly tStates: TState }
  /**
   * The same for ranges, in their order: the routines of a board, the lines of a listing. Where two overlap the later one
   * counts; what lies in none is left out.
   */
  inRanges(ranges: readonly NamedRange[]): readonly RangeUsage[]
}

/** The furthest that the stack grew. */
export interface StackMark {
  /** The lowest SP between any two steps. */
  readonly sp: Addr
  /** Bytes below SP at the start. */
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
  /** The byte was there on purpose: in the image, the case, the firmware or what it made ready; else RAM as power left it. */
  readonly isGiven: boolean
}

/** A value over time: `values[i]` holds from `times[i]` to the next; `times[0]` is the start of the window. */
export interface History {
  readonly times: Float64Array
  readonly values: Int32Array
  /** T-state up to which this is complete: the end of the window unless the list became too long. */
  readonly until: TState
}

export type HistorySubject =
  /** Changes at the T-state at which the step that changes it ends. */
  | { readonly kind: 'register'; readonly register: RegisterName }
  /** Changes at the T-state of the write. */
  | { readonly kind: 'memory'; readonly address: Addr }

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
  /**
   * The longest darkness between two lights of one digit, of those that have a part in a window of the run: of the digit
   * asked for, else of any. Null where none was lit twice.
   */
  longestSweepGap(where?: { readonly from?: TState; readonly to?: TState; readonly digit?: number }): SweepGap | null
  /** Which instruction was running at a T-state; the last one at the end of the run; null in a run without steps. */
  instructionAt(t: TState): TraceStep | null
  /** Over the whole run, or some steps of it. */
  usage(span?: StepSpan): Usage
  highestStackMark(): StackMark
  /** The first read of a byte that nothing in the run had written before; null when it was written first or never read. */
  readBeforeWritten(address: Addr): MemoryRead | null
  /** All such reads of RAM, the first of each byte, in the order of time. */
  allReadBeforeWritten(): readonly MemoryRead[]
  /** A value over the run, or a window of it in T-states; at most a million changes (`until` tells). */
  history(what: HistorySubject, window?: { readonly from: TState; readonly to: TState }): History
}
