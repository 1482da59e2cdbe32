import type { ListingLine, ProgramFormat } from '../../../core/assembler/index.ts'
import type { BoardProfile } from '../../../core/board/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import type { SessionNote, SessionProgram } from '../../../core/exports/index.ts'
import type { Problem } from '../../../core/image/index.ts'
import type { Stop } from '../../../core/run/index.ts'
import type { SeenDigit } from '../../machine/display-words.ts'
import type { CodeLine } from '../../machine/shown-lines.ts'

/** What the page asks of the machine. Nothing is answered one to one: each change shows in the next frame. */
export type BenchRequest =
  /** A board, switched on: RAM cleared, the firmware about to start. */
  | { readonly kind: 'power-on'; readonly board: BoardProfile }
  | { readonly kind: 'load'; readonly format: ProgramFormat; readonly text: string }
  | { readonly kind: 'run' }
  | { readonly kind: 'stop' }
  | { readonly kind: 'step' }
  /** The reset button: the CPU starts at 0000h; RAM stays. */
  | { readonly kind: 'reset' }
  | { readonly kind: 'key'; readonly key: string; readonly isDown: boolean }
  | { readonly kind: 'switches'; readonly value: number }
  | { readonly kind: 'timer'; readonly isOn: boolean }
  | { readonly kind: 'registers'; readonly some: Partial<Registers> }
  | { readonly kind: 'byte'; readonly address: number; readonly value: number }
  | { readonly kind: 'stops'; readonly stops: readonly Stop[] }
  /** To another moment of all that was done since the first power-on; what lies ahead of it stays until something new is done. */
  | { readonly kind: 'go-to'; readonly t: number }
  | { readonly kind: 'step-back' }
  /** Back to the last moment at which one of the stops held. */
  | { readonly kind: 'run-back' }
  /** Keeps the present moment under a number, or comes back to one that was kept. */
  | { readonly kind: 'keep' | 'come-back'; readonly number: number }
  /** Everything done so far as a file. */
  | { readonly kind: 'session'; readonly title: string; readonly program: SessionProgram | null }
  | { readonly kind: 'open-session'; readonly text: string }
  /** Board seconds a second; null as fast as it goes. */
  | { readonly kind: 'speed'; readonly factor: number | null }
  /** Which part of memory the frames carry. */
  | { readonly kind: 'look'; readonly from: number }

/** Bytes of memory in each frame. */
export const lookLength = 128

/** What the speaker did between two frames: `edges` are T-states, `levelBefore` held until the first. */
export interface SpeakerSpan {
  readonly from: number
  readonly to: number
  readonly levelBefore: 0 | 1
  readonly edges: Float64Array<ArrayBuffer>
  /** Of the last tenth of a second; null when silent. */
  readonly frequencyHz: number | null
}

/** Where the machine stands on the tape of all that was done to it. */
export interface TapePlace {
  readonly step: number
  readonly steps: number
  readonly tStates: number
}

/** The machine as it stands, a few dozen times a second while it runs and after each change. */
export interface BenchFrame {
  /** T-states since the power first went on; they count on when it goes off and on. */
  readonly t: number
  readonly steps: number
  readonly tape: TapePlace
  readonly isRunning: boolean
  /** Why it stopped last; null while it runs or when it was never run. */
  readonly stopped: 'asked' | 'step' | 'rewound' | Stop | null
  readonly registers: Registers
  /** Registers before the single step that was done last; null after anything else. */
  readonly before: Registers | null
  readonly digits: readonly SeenDigit[]
  readonly speaker: SpeakerSpan
  readonly lamps: number
  readonly switches: number
  readonly isTimerOn: boolean
  readonly keysDown: readonly string[]
  /** What the monitor's keys do now, by its own byte of memory; null on a board that has none. */
  readonly keying: number | null
  /** Code about PC while it stands still; empty while it runs. */
  readonly around: readonly CodeLine[]
  /** The bytes at which the registers point, by address. */
  readonly there: ReadonlyMap<number, number>
  readonly memoryFrom: number
  readonly memory: Uint8Array<ArrayBuffer>
}

export type BenchReply =
  | { readonly kind: 'frame'; readonly frame: BenchFrame }
  | {
      readonly kind: 'loaded'
      readonly listing: readonly ListingLine[]
      readonly symbols: Readonly<Record<string, number>>
      readonly entry: number
      readonly bytes: number
      readonly warnings: readonly Problem[]
    }
  /** A moment was kept. */
  | { readonly kind: 'kept'; readonly number: number; readonly t: number; readonly step: number }
  | { readonly kind: 'session'; readonly text: string }
  | {
      readonly kind: 'session-opened'
      readonly title: string
      readonly program: SessionProgram
      readonly notes: readonly SessionNote[]
    }
  | { readonly kind: 'session-unreadable'; readonly problems: readonly string[] }
  | { readonly kind: 'unreadable'; readonly problems: readonly Problem[] }
  | { readonly kind: 'fault'; readonly message: string }
