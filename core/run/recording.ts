import type { DigitSpan, BoardEvent } from '../board/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { RunResult } from './request.ts'

/** The machine between two instructions: after `step` instructions, before the one at `registers.pc`. */
export interface Snapshot {
  readonly step: number
  readonly t: TState
  readonly registers: Registers
  readonly memory: Uint8Array
}

/** One instruction as it was executed. */
export interface TraceStep {
  readonly step: number
  /** T-state at which it began, and how many it took. */
  readonly t: TState
  readonly tStates: number
  readonly pc: Addr
  readonly bytes: readonly Byte[]
  readonly before: Registers
  readonly after: Registers
  readonly memoryWrites: readonly { readonly address: Addr; readonly before: Byte; readonly value: Byte }[]
}

/**
 * A finished run that can be visited at any point. It keeps inputs, events and page-delta checkpoints; everything else
 * is executed again. Steps count from 0 (the state at the start) to `result.steps` (the state at the end).
 */
export interface Recording {
  readonly result: RunResult
  readonly events: readonly BoardEvent[]
  readonly digits: readonly DigitSpan[]
  at(step: number): Snapshot
  /** The step that is being executed at T-state `t`; clamped to the run. */
  stepAt(t: TState): number
  /** The instructions `from` to `to` (excluded), at most 10,000 at once. */
  steps(from: number, to: number): readonly TraceStep[]
  /** Nearest step before (`back`) or after `from` at which the condition holds; null when there is none. */
  find(from: number, direction: 'back' | 'on', what: SearchTarget): number | null
}

export type SearchTarget =
  | { readonly kind: 'pc'; readonly address: Addr }
  | { readonly kind: 'memory-write'; readonly address: Addr }
  | { readonly kind: 'register-change'; readonly register: keyof Registers }
  | { readonly kind: 'port-write'; readonly port: Byte | null }
  /** The step after the CALL or RST now at the cursor has returned, or the next step where it is none. */
  | { readonly kind: 'same-depth' }
