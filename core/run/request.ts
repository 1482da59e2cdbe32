import type { BoardEvent, BoardProfile, EventLog, KeyPress, SwitchMove } from '../board/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import type { UndefinedUse } from './undefined-use.ts'

/** RAM at power-on: one byte everywhere, or pseudo-random from a seed, or the complement of that. */
export type Fill =
  | { readonly byte: Byte }
  /** Low byte at even addresses, high byte at odd ones. */
  | { readonly word: number }
  | { readonly seed: number; readonly isInverted?: boolean }

/** What nothing has set when a run begins: parts of the registers by their names (`registerParts` of cpu), and RAM. */
export interface UndefinedAtStart {
  readonly registers: readonly string[]
  /** RAM but for firmware, image, `memory` and the return address. */
  readonly isMemory: boolean
  /** Which of the possible starts of its case this one is, by the numbers of whoever made the request. */
  readonly start: number
}

/** What comes from outside in a run. */
export interface InputsOfRun {
  readonly keys: readonly KeyPress[]
  /** As on the port of the switches, at the start. */
  readonly switches: Byte
  /** How they stand later. */
  readonly switchMoves?: readonly SwitchMove[]
  readonly isTimerOn: boolean
  /**
   * T-states by which the timer's first tick comes before the end of a whole period; 0 (the default) to less than a period.
   * Nobody knows it of a board on a table: a program must be right with any.
   */
  readonly timerPhase?: TState
}

/** Everything that decides a run. The same request gives the same run, on any machine, in any year. */
export interface RunRequest {
  readonly profile: BoardProfile
  readonly image: Image
  readonly entry: Addr
  /** Program ends with HALT, or with RET to the caller (a return address is pushed before the start). */
  readonly ends: 'halt' | 'return'
  readonly given: InputsOfRun & {
    /**
     * A register that is not given holds what chance (or the fill byte) left in it, but SP = the profile's stack top,
     * IM = the firmware's, I = R = 0 and interrupts are off. With `ends: 'return'` the address goes below this SP.
     */
    readonly registers: Partial<Registers>
    /** Written over fill, firmware and image. */
    readonly memory: readonly { readonly at: Addr; readonly bytes: readonly Byte[] }[]
    readonly fill: Fill
    /** For `isFollowingUndefined`: what of this chance has decided. Changes nothing in the run. */
    readonly undefined?: UndefinedAtStart
  }
  readonly breakpoints?: readonly Addr[]
  /** RAM outside the image that the program may execute too: where it builds or copies code. Both ends included. */
  readonly mayExecute?: readonly { readonly from: Addr; readonly to: Addr }[]
  /** T-states after which the run is stopped; the instruction then running is finished. */
  readonly budget: TState
  /**
   * The instruction that makes so many events is the last, as if the budget were used up; default 1,000,000. What switches
   * segments of the display on and off counts as one more for every four of them.
   */
  readonly eventLimit?: number
  /** Record each write to memory as an event (slower); default false. */
  readonly isWatchingWrites?: boolean
  /** Run until the budget is used up even where an endless loop is proven that writes to no port; default false. */
  readonly isLoopRunOut?: boolean
}

/** Room for a program that looks at the keypad without a pause for 27 million T-states: 14 bytes an event. */
export const defaultEventLimit = 1_000_000

/** How many events a run may make. */
export function eventLimitOf({ eventLimit = defaultEventLimit }: RunRequest): number {
  return eventLimit
}

/** Addresses of a loop, first and last instruction. */
export interface LoopRange {
  readonly from: Addr
  readonly to: Addr
}

/** The event that came most often in a run that made too many. */
export interface EventFlood {
  readonly kind: BoardEvent['kind']
  /** The port, or the memory address of which there were most; null where the kind has none. */
  readonly where: Addr | null
  /** How often it came; writes to memory at any address are counted together. */
  readonly count: number
  /** From the start of the run to the last event. */
  readonly tStates: TState
}

/** How a run ended. */
export type RunEnd =
  | { readonly kind: 'halted' }
  | { readonly kind: 'returned' }
  /** About to execute `address`. */
  | { readonly kind: 'breakpoint'; readonly address: Addr }
  /** `loop` is the range of addresses it sat in, when it sat in one; in ROM only where it never left a ROM routine. */
  | {
      readonly kind: 'budget-used-up'
      readonly loop: LoopRange | null
      /** What came too often, where it was the events that were too many and not the T-states. */
      readonly events?: EventFlood
    }
  /** The whole state came back and no input is to come: it can never end. */
  | { readonly kind: 'proven-loop'; readonly loop: LoopRange }
  /** About to execute RAM outside the image, or where no memory is; `from` is the instruction that led there. */
  | { readonly kind: 'left-program'; readonly address: Addr; readonly from: Addr }
  /** Pushed where no RAM is, or took a return address from above where the stack began. */
  | { readonly kind: 'stack-fault'; readonly sp: Addr }
  /** `onProgress` said so. */
  | { readonly kind: 'stopped' }

export interface RunResult {
  readonly end: RunEnd
  readonly tStates: TState
  readonly steps: number
  /** Address of the last instruction executed. */
  readonly lastPc: Addr
  readonly registers: Registers
  /** All 65,536 bytes. */
  readonly memory: Uint8Array
  readonly events: EventLog
  /**
   * Lowest address that the stack reached: the lowest byte pushed, or SP at the start where nothing was. Known where
   * writes are watched and from `record`; null otherwise.
   */
  readonly lowestSp: Addr | null
  /** What became of values that nothing had set; with `isFollowingUndefined` only. */
  readonly undefinedUse?: UndefinedUse
}

export interface RunOptions {
  /** Called about every million T-states with the T-states so far; `false` stops the run. */
  readonly onProgress?: (t: TState) => boolean | void
  /** Follow what `given.undefined` names through the run (a few per cent slower); the run itself is the same. */
  readonly isFollowingUndefined?: boolean
}
