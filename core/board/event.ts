import type { Addr, Byte, TState } from '../cpu/index.ts'

/** Something that could be observed on the board, at its exact T-state; `pc` is the address of the instruction that did it. */
export type BoardEvent =
  | { readonly kind: 'port-write'; readonly t: TState; readonly pc: Addr; readonly port: Byte; readonly value: Byte }
  | { readonly kind: 'port-read'; readonly t: TState; readonly pc: Addr; readonly port: Byte; readonly value: Byte }
  | { readonly kind: 'speaker-edge'; readonly t: TState; readonly pc: Addr; readonly level: 0 | 1 }
  | { readonly kind: 'key'; readonly t: TState; readonly key: string; readonly isDown: boolean }
  /** All switches from `t` on, bit by bit as on their port; only where that is another value than before. */
  | { readonly kind: 'switches'; readonly t: TState; readonly value: Byte }
  /** Acknowledged; `pc` is the address that the handler will return to. */
  | { readonly kind: 'interrupt'; readonly t: TState; readonly pc: Addr }
  /** The timer ticked while its last request still waited. */
  | { readonly kind: 'interrupt-lost'; readonly t: TState }
  /** Only where writes are watched. A write that ROM or an empty place ignored is an event too. */
  | {
      readonly kind: 'memory-write'
      readonly t: TState
      readonly pc: Addr
      readonly address: Addr
      readonly value: Byte
    }

/** `ghosted`: a neighbour's segments show through for more than 1 % of the time the digit is lit. */
export type DigitState = 'steady' | 'flickers' | 'blinks' | 'dark' | 'ghosted'

/** What an eye sees of one digit between two T-states (`to` excluded). */
export interface DigitSpan {
  /** From 0, the leftmost. */
  readonly digit: number
  readonly from: TState
  readonly to: TState
  /** Bit 0 = a … 6 = g, 7 = point, whatever the board's wiring. */
  readonly segments: Byte
  /** `0`–`9`, `A`–`F` or other letters where the pattern is known, ` ` for none, `?` for a pattern without a name. */
  readonly glyph: string
  readonly state: DigitState
}

/** How the display was driven in a window. */
export interface DisplayMeasure {
  /** Rate of the slowest digit that was lit more than once; null where none was. */
  readonly refreshHz: number | null
  /** (brightest − faintest) / brightest over the digits that were lit at all; null with fewer than two. */
  readonly brightnessSpread: number | null
  readonly digits: readonly DigitMeasure[]
}

export interface DigitMeasure {
  readonly digit: number
  /** Times the digit went from dark to lit. */
  readonly sweeps: number
  /** (sweeps − 1) · f / (last start − first start); null with fewer than two sweeps. */
  readonly refreshHz: number | null
  /** Part of the window in which any segment of it was lit, 0 to 1. */
  readonly brightness: number
  /** Between its first and last light in the window. */
  readonly longestDarkTStates: TState
  /** Part of its lit time in which segments of another pattern showed, 0 to 1. */
  readonly ghost: number
}

/** What a speaker did in a window, from its edges. */
export interface SpeakerMeasure {
  /** All edges, the first included. */
  readonly edges: number
  /** First edge and last edge; both the start of the window where there is no edge. */
  readonly from: TState
  readonly to: TState
  /** E·f_clk / (2(t_E − t_0)) for E edges after the first; null with fewer than two edges. */
  readonly frequencyHz: number | null
  /** From first edge to last. */
  readonly durationTStates: TState
  /** Σhigh / Σtotal over the whole periods, 0 to 1; null with fewer than three edges. */
  readonly duty: number | null
  /** Longest minus shortest half period, in T-states; null with fewer than two edges. */
  readonly jitterTStates: number | null
  /**
   * Rate and duty without the first and last half wave and with one late edge put right; null where there is not one tone
   * of seven edges or more.
   */
  readonly steadyHz: number | null
  readonly steadyDuty: number | null
}

/** One tone among others: a measure of its edges alone, and the silence before it. */
export interface Note extends SpeakerMeasure {
  /** From the last edge of the note before to the first of this one; 0 for the first note. */
  readonly gapTStates: TState
}
