import type { Addr, Registers, TState } from '../../cpu/index.ts'
import type { TraceStep } from '../../run/index.ts'

/** `made`: wrote a value that went in. `decided`: a condition that led here, and not another way. */
export type Role = 'made' | 'decided'

/** An instruction with a part in the slice, as found so far. */
export interface Found {
  readonly pc: Addr
  /** The last time it had one. */
  readonly step: TraceStep
  readonly role: Role
  /** What it made that went in, and what it made it of. */
  readonly wrote: number
  readonly read: number
  readonly memoryRead: ReadonlySet<Addr>
  readonly memoryWritten: ReadonlySet<Addr>
  /** When it had made that: behind the step, or where the firmware that it called had. */
  readonly after: { readonly registers: Registers; readonly t: TState }
  times: number
  firstStep: number
  /** How many instructions lie between it and what was asked for. */
  readonly depth: number
}

/** What a question begins with: the values asked for, before `step`, and the instructions themselves that it is about. */
export interface Start {
  readonly step: number
  readonly parts?: number
  readonly bytes?: readonly Addr[]
  /** Steps that have a part whatever they do. */
  readonly steps?: readonly { readonly step: number; readonly role: Role; readonly depth?: number }[]
  /** Instructions whose last time before `step` has a part: branches above all. */
  readonly last?: readonly Addr[]
  /** Nothing wrote what was asked for; the slice is of what came nearest. */
  readonly isMissed?: boolean
}

export interface Slice {
  readonly found: readonly Found[]
  /** What was in the registers and in memory at the start and went in. */
  readonly givenParts: number
  readonly givenBytes: readonly Addr[]
  readonly inputs: readonly TraceStep[]
}

/** Farther away than anything. */
export const nowhere = 1_000
