import type { ProgramFormat } from '../assembler/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { Fill, KeyPress, TapedInput } from '../run/index.ts'

/** The only version there is so far. A change that older readers would misread gets the next number. */
export const sessionFormat = 'hexcairn-session/1'

/** How a program of a session is started. What it does not say is the board's own. */
export interface SessionStart {
  /** Null: where the program says. */
  readonly entry: Addr | null
  readonly ends: 'halt' | 'return'
  readonly registers: Partial<Registers>
  readonly memory: readonly { readonly at: Addr; readonly bytes: readonly Byte[] }[]
  readonly keys: readonly KeyPress[]
  readonly switches: Byte
  readonly fill: Fill
  readonly isTimerOn: boolean
  readonly budget: TState
}

/** A remark on a step, or on the steps `from` to `to` (excluded). */
export interface SessionNote {
  readonly from: number
  readonly to: number
  readonly by: string
  readonly text: string
}

/** A program and all that is needed to see on another Hexcairn what its writer saw. */
export interface Session {
  readonly title: string
  /** Id of the board's profile; the profile itself is not in the file. */
  readonly board: string
  readonly program: { readonly format: ProgramFormat; readonly text: string }
  /** A run by itself; null where the session is of the bench, or of a case of an exercise. */
  readonly start: SessionStart | null
  /** A case of an exercise, which the reader's Hexcairn must know. */
  readonly exercise: { readonly id: string; readonly caseId: string; readonly seed: number } | null
  /** What was done on the bench from power-on to `until`, for `Tape.play`. */
  readonly tape: { readonly fill: Fill; readonly inputs: readonly TapedInput[]; readonly until: TState } | null
  readonly notes: readonly SessionNote[]
  /** Where the reader should look: a step, and the stretch of T-states shown (`to` excluded). */
  readonly position: { readonly step: number; readonly from: TState; readonly to: TState }
}
