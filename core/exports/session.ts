import type { ProgramFormat, ReadOptions } from '../assembler/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { Fill, KeyPress, SwitchMove, TapedInput } from '../run/index.ts'

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
  /** At the start. */
  readonly switches: Byte
  readonly switchMoves?: readonly SwitchMove[]
  /** Of registers that are not given too. */
  readonly fill: Fill
  readonly isTimerOn: boolean
  /** T-states by which the timer's first tick comes early; 0 unless given. */
  readonly timerPhase?: TState
  /** Of `memory` what may be executed: a program that calls the one of the session. Both ends included. */
  readonly mayExecute?: readonly { readonly from: Addr; readonly to: Addr }[]
  readonly budget: TState
}

/** A program as written, and how it is read where that is not the board's own way. */
export interface SessionProgram {
  readonly format: ProgramFormat
  readonly text: string
  /** Where bytes without an address stand. */
  readonly origin?: Addr
  /** Names of an exercise that its text may use. */
  readonly symbols?: Readonly<Record<string, number>>
}

/** How a session's program is read on a board whose own way is `options`. */
export function sessionReadOptions({ origin, symbols }: SessionProgram, options: ReadOptions): ReadOptions {
  return { ...options, origin: origin ?? options.origin, symbols: { ...options.symbols, ...symbols } }
}

/** A case of an exercise, and what was drawn for it. */
export interface SessionExercise {
  readonly id: string
  readonly caseId: string
  readonly seed: number
  /** Which values stood in what nothing sets, by the number that reports give; the first ones unless given. */
  readonly start?: number
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
  readonly program: SessionProgram
  /** How the run begins; null where the session is of the bench, or says only of which case it is. */
  readonly start: SessionStart | null
  /** The case of an exercise that it is of. Without `start` the reader's Hexcairn must know the exercise. */
  readonly exercise: SessionExercise | null
  /** What was done on the bench from power-on to `until`, for `Tape.play`. */
  readonly tape: { readonly fill: Fill; readonly inputs: readonly TapedInput[]; readonly until: TState } | null
  readonly notes: readonly SessionNote[]
  /** Where the reader should look: a step, and the stretch of T-states shown (`to` excluded). */
  readonly position: { readonly step: number; readonly from: TState; readonly to: TState }
}
