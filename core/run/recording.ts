import type { DigitSpan, EventLog } from '../board/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { Questions, RegisterName } from './questions.ts'
import type { RunResult } from './request.ts'

/** The machine between two instructions: after `step` instructions, before the one at `registers.pc`. */
export interface Snapshot {
  readonly step: number
  readonly t: TState
  readonly registers: Registers
  /** All 65,536 bytes; a copy. */
  readonly memory: Uint8Array
  readonly outputs: Outputs
}

/** What stands on the board's ports. */
export interface Outputs {
  /** As written last, bit by bit as on their ports. */
  readonly segments: Byte
  readonly select: Byte
  readonly speaker: 0 | 1
  readonly lamps: Byte
  readonly switches: Byte
  /** Keys whose contact is closed. */
  readonly keysDown: readonly string[]
  readonly isTimerOn: boolean
  readonly isInterruptWaiting: boolean
}

/** One instruction as it was executed. */
export interface TraceStep {
  readonly step: number
  /** Waiting in HALT and accepting an interrupt are steps too: `bytes` is `[0x76]` then, or empty. */
  readonly kind: 'instruction' | 'interrupt' | 'halted'
  /** T-state at which it began, and how many it took. */
  readonly t: TState
  readonly tStates: number
  readonly pc: Addr
  readonly bytes: readonly Byte[]
  readonly before: Registers
  readonly after: Registers
  /** What ROM ignored has `value` equal to `before`. */
  readonly memoryWrites: readonly { readonly address: Addr; readonly before: Byte; readonly value: Byte }[]
}

/**
 * A finished run that can be visited at any point. It keeps inputs, events and page-delta checkpoints; everything else
 * is executed again. Steps count from 0 (the state at the start) to `result.steps` (the state at the end).
 */
export interface Recording {
  readonly result: RunResult
  readonly events: EventLog
  /** What an eye saw from 0 to the end of the run. */
  readonly digits: readonly DigitSpan[]
  /** Bytes of memory that the checkpoints keep. */
  readonly checkpointBytes: number
  at(step: number): Snapshot
  /** The step that is being executed at T-state `t`; clamped to the run. */
  stepAt(t: TState): number
  /** The instructions `from` to `to` (excluded), at most 10,000 at once. */
  steps(from: number, to: number): readonly TraceStep[]
  /** Every step from `from` to `to` (excluded) in turn, with the state in which it begins. Any length. */
  walk(from: number, to: number, visit: (step: number, t: TState, pc: Addr, sp: Addr) => void): void
  /** Nearest step before (`back`) or after `from` (`on`) at which the condition holds; null when there is none. */
  find(from: number, direction: 'back' | 'on', what: SearchTarget): number | null
  /** What can be asked of the run as a whole. */
  readonly questions: Questions
}

/** A step at which the machine stands at an address, or whose instruction does what is looked for. */
export type SearchTarget =
  | { readonly kind: 'pc'; readonly address: Addr }
  | { readonly kind: 'breakpoint'; readonly addresses: readonly Addr[] }
  | { readonly kind: 'memory-write'; readonly address: Addr }
  /** The byte is taken as data; executing it is no read. */
  | { readonly kind: 'memory-read'; readonly address: Addr }
  | { readonly kind: 'register-change'; readonly register: RegisterName }
  /** The step begins with this value in the register. */
  | { readonly kind: 'register-is'; readonly register: RegisterName; readonly value: number }
  | { readonly kind: 'port-write'; readonly port: Byte | null }
  /** On: the step after the CALL or RST now at the cursor has returned, or the next step where it is none. Back: likewise. */
  | { readonly kind: 'same-depth' }
  /** SP is what it is at the cursor, and was another in between: the last time (or the next) that SP was here. */
  | { readonly kind: 'same-sp' }
  /** Whichever of these comes first on the way. */
  | { readonly kind: 'any'; readonly of: readonly SearchTarget[] }
