import type { BoardEvent, BoardProfile } from '../board/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'

/** A key pressed and let go during a run. `bounceTStates` makes and breaks the contact at both ends for that long. */
export interface KeyPress {
  readonly key: string
  readonly from: TState
  readonly to: TState
  readonly bounceTStates?: TState
}

/** Everything that decides a run. The same request gives the same run, on any machine, in any year. */
export interface RunRequest {
  readonly profile: BoardProfile
  readonly image: Image
  readonly entry: Addr
  /** Program ends with HALT, or with RET to the caller (a return address is pushed before the start). */
  readonly ends: 'halt' | 'return'
  readonly given: {
    readonly registers: Partial<Registers>
    readonly memory: readonly { readonly at: Addr; readonly bytes: readonly Byte[] }[]
    readonly keys: readonly KeyPress[]
    readonly switches: Byte
    /** RAM at power-on: one byte everywhere, or pseudo-random from a seed. */
    readonly fill: { readonly byte: Byte } | { readonly seed: number }
    readonly isTimerOn: boolean
  }
  readonly breakpoints?: readonly Addr[]
  /** T-states after which the run is stopped. */
  readonly budget: TState
  /** Record each write to memory as an event (slower); default false. */
  readonly isWatchingWrites?: boolean
}

/** How a run ended. */
export type RunEnd =
  | { readonly kind: 'halted' }
  | { readonly kind: 'returned' }
  | { readonly kind: 'breakpoint'; readonly address: Addr }
  /** `loop` is the range of addresses it sat in, when it sat in one. */
  | { readonly kind: 'budget-used-up'; readonly loop: { readonly from: Addr; readonly to: Addr } | null }
  /** The whole state came back: it can never end. */
  | { readonly kind: 'proven-loop'; readonly loop: { readonly from: Addr; readonly to: Addr } }
  | { readonly kind: 'left-program'; readonly address: Addr; readonly from: Addr }
  | { readonly kind: 'stack-fault'; readonly sp: Addr }

export interface RunResult {
  readonly end: RunEnd
  readonly tStates: TState
  readonly steps: number
  /** Address of the last instruction executed. */
  readonly lastPc: Addr
  readonly registers: Registers
  readonly memory: Uint8Array
  readonly events: readonly BoardEvent[]
  /** Lowest SP seen while the program ran is given by the traced run; null otherwise. */
  readonly lowestSp: Addr | null
}
