import type { ListingLine, ProgramFormat } from '../../../core/assembler/index.ts'
import type { BoardProfile } from '../../../core/board/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import type { Problem } from '../../../core/image/index.ts'
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
  | { readonly kind: 'breakpoints'; readonly addresses: readonly number[] }
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

/** The machine as it stands, a few dozen times a second while it runs and after each change. */
export interface BenchFrame {
  readonly t: number
  readonly steps: number
  readonly isRunning: boolean
  /** Why it stopped last; null while it runs or when it was never run. */
  readonly stopped: 'asked' | 'breakpoint' | 'step' | null
  readonly registers: Registers
  /** Registers before the single step that was done last; null after anything else. */
  readonly before: Registers | null
  readonly digits: readonly SeenDigit[]
  readonly speaker: SpeakerSpan
  readonly lamps: number
  readonly switches: number
  readonly isTimerOn: boolean
  readonly keysDown: readonly string[]
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
  | { readonly kind: 'unreadable'; readonly problems: readonly Problem[] }
  | { readonly kind: 'fault'; readonly message: string }
