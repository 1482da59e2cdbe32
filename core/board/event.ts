import type { Addr, Byte, TState } from '../cpu/index.ts'

/** Something that could be observed on the board, at its exact T-state; `pc` is the address of the instruction that did it. */
export type BoardEvent =
  | { readonly kind: 'port-write'; readonly t: TState; readonly pc: Addr; readonly port: number; readonly value: Byte }
  | { readonly kind: 'port-read'; readonly t: TState; readonly pc: Addr; readonly port: number; readonly value: Byte }
  | { readonly kind: 'speaker-edge'; readonly t: TState; readonly pc: Addr; readonly level: 0 | 1 }
  | { readonly kind: 'key'; readonly t: TState; readonly key: string; readonly isDown: boolean }
  | { readonly kind: 'interrupt'; readonly t: TState; readonly pc: Addr }
  | { readonly kind: 'interrupt-lost'; readonly t: TState }
  | {
      readonly kind: 'memory-write'
      readonly t: TState
      readonly pc: Addr
      readonly address: Addr
      readonly value: Byte
    }

/** What an eye sees of one digit between two T-states (`to` excluded). */
export interface DigitSpan {
  readonly digit: number
  readonly from: TState
  readonly to: TState
  /** Bit 0 = a … 6 = g, 7 = point, whatever the board's wiring. */
  readonly segments: Byte
  /** `0`–`9`, `A`–`F` or other letters where the pattern is known, ` ` for none, `?` for a pattern without a name. */
  readonly glyph: string
  readonly state: 'steady' | 'flickers' | 'blinks' | 'dark' | 'ghosted'
}

/** What a speaker did in a window, from its edges. */
export interface SpeakerMeasure {
  readonly edges: number
  readonly from: TState
  readonly to: TState
  /** E·f_clk / (2(t_E − t_0)); null with fewer than two edges. */
  readonly frequencyHz: number | null
  readonly durationTStates: TState
  /** Σhigh / Σtotal, 0 to 1. */
  readonly duty: number | null
  /** Longest minus shortest half period, in T-states. */
  readonly jitterTStates: number | null
}
