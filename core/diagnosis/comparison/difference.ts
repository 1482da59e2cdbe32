import type { Addr, Byte, TState } from '../../cpu/index.ts'
import type { RunEnd } from '../../run/index.ts'

/** Something that a person at the board could notice, or that the exercise asks for at the end. */
export type ObservedEvent =
  /** A digit begins to show something; `glyph` is ' ' where it goes dark. From 0, the leftmost. */
  | { readonly kind: 'digit'; readonly digit: number; readonly glyph: string; readonly isSteady: boolean }
  /** A tone begins. */
  | { readonly kind: 'note'; readonly hz: number; readonly tStates: TState; readonly duty: number | null }
  /** The cone moves without a tone. */
  | { readonly kind: 'click'; readonly level: 0 | 1 }
  /** What the display is left like at the end. */
  | { readonly kind: 'display'; readonly isDark: boolean }
  /** A write to the lamps, or to a port that the board has nothing at. */
  | { readonly kind: 'port'; readonly port: Byte; readonly value: Byte }
  /** What a byte holds at the end; the event is the last write to it. */
  | { readonly kind: 'memory'; readonly address: Addr; readonly value: Byte }
  /** What a register or a flag holds at the end; the event is its last change. */
  | { readonly kind: 'register'; readonly register: string; readonly value: number }
  | { readonly kind: 'end'; readonly end: RunEnd['kind'] }

/** An event with its place in one run. */
export interface PlacedEvent {
  readonly event: ObservedEvent
  readonly t: TState
  /** The step that was being executed then. */
  readonly step: number
  /** `digit 3 shows 7`, `4602h = 1Fh`, `1,000 Hz for 250 ms`. */
  readonly text: string
}

/** An event of the wanted run and the one of the found run that stands for it. */
export interface LockedPair {
  readonly wanted: PlacedEvent
  readonly found: PlacedEvent
}

/** A point of a run. */
export interface Place {
  readonly step: number
  readonly t: TState
}

/** The first wrong event. One side is null where the other run has nothing to hold against it. */
export interface Difference {
  /** `missing`: the found run never does it. `extra`: the wanted run never does. `other`, `early`, `late`: both, not alike. */
  readonly kind: 'missing' | 'extra' | 'other' | 'early' | 'late'
  readonly wanted: PlacedEvent | null
  readonly found: PlacedEvent | null
  /** Where to open each run: at the event, or where it should have been. */
  readonly at: { readonly wanted: Place; readonly found: Place }
  /** Found and wanted in one sentence. */
  readonly sentence: string
}

/** What two runs have in common, and where they part. */
export interface Comparison {
  readonly difference: Difference | null
  /** Events that agree, in the order of the wanted run: pages show both runs side by side by them. */
  readonly locked: readonly LockedPair[]
}
