import type { Addr, Registers, TState } from '../../../core/cpu/index.ts'
import type { ListingLine } from '../../../core/assembler/index.ts'
import type { BoardProfile } from '../../../core/board/index.ts'
import type { RunEnd, TraceStep } from '../../../core/run/index.ts'
import type { CodeLine } from '../../machine/shown-lines.ts'
import type { DigitLook } from './lane.ts'

/** A word on the stack, top first. `note` says what pushed it where that can be read from memory. */
export interface StackWord {
  readonly address: Addr
  readonly value: number
  readonly note: string | null
}

/** The machine after `step` instructions, before the one at `registers.pc`, with all that the page shows of it. */
export interface Moment {
  readonly step: number
  readonly t: TState
  readonly registers: Registers
  /** All 65,536 bytes. */
  readonly memory: Uint8Array<ArrayBuffer>
  /** The instruction that led here; null at the start. */
  readonly last: TraceStep | null
  /** What it was, in words: `LD A,(HL)`, `an interrupt was taken`. */
  readonly lastText: string | null
  /** The instruction about to be executed; null at the end. */
  readonly next: TraceStep | null
  /** `SWEEP`, `PAINT + 12`, or the name of the region. */
  readonly place: string
  /** Lines about PC when it stands outside the listing; empty otherwise. */
  readonly around: readonly CodeLine[]
  /** The words nearest to SP; of how many bytes below where SP began, see `stackBytes`. */
  readonly stack: readonly StackWord[]
  /** How far SP stands below where it began; negative when it stands above. */
  readonly stackBytes: number
  readonly digits: readonly DigitLook[]
  readonly isSpeakerHigh: boolean
  /** As on their port. */
  readonly switches: number
  readonly keysDown: readonly string[]
}

/** What is known of a run as a whole once it has been recorded. */
export interface TraceOverview {
  readonly caseId: string
  readonly board: BoardProfile
  readonly steps: number
  readonly tStates: TState
  readonly end: RunEnd
  readonly lastPc: Addr
  readonly listing: readonly ListingLine[]
  readonly symbols: Readonly<Record<string, number>>
}
