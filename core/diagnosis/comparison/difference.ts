import type { Addr, TState } from '../../cpu/index.ts'
import type { RunEnd } from '../../run/index.ts'

/** Something that a person at the board could notice, or that was asked to be watched. */
export type ObservedEvent =
  /** A digit begins to show something (`glyph` ' ': goes dark). */
  | { readonly kind: 'digit'; readonly digit: number; readonly glyph: string; readonly state: string }
  | { readonly kind: 'note'; readonly hz: number; readonly edges: number; readonly ms: number }
  | { readonly kind: 'click'; readonly level: 0 | 1 }
  | { readonly kind: 'lamps'; readonly value: number }
  | { readonly kind: 'port'; readonly port: number; readonly value: number }
  | { readonly kind: 'memory'; readonly address: Addr; readonly value: number }
  | { readonly kind: 'register'; readonly register: string; readonly value: number }
  | { readonly kind: 'end'; readonly end: RunEnd }

/** An event with its place in one run. `step` is the instruction that caused it. */
export interface PlacedEvent {
  readonly event: ObservedEvent
  readonly t: TState
  readonly step: number
  /** Address of that instruction. */
  readonly pc: Addr
  /** `digit 3 shows 7`, `4602h = 1Fh`, `1000 Hz for 250 ms`. */
  readonly text: string
}

/** An event of the wanted run and the one of the found run that stands for it. */
export interface LockedPair {
  readonly wanted: PlacedEvent
  readonly found: PlacedEvent
}

/** The first wrong event. One side is null where the other run has nothing to hold against it. */
export interface Difference {
  /** `missing`: the found run never does it. `extra`: the wanted run never does. `other`, `early`, `late`: both, not alike. */
  readonly kind: 'missing' | 'extra' | 'other' | 'early' | 'late'
  readonly wanted: PlacedEvent | null
  readonly found: PlacedEvent | null
  /** Where to open each run: at the event, or where it should have been. */
  readonly at: {
    readonly wanted: { readonly step: number; readonly t: TState }
    readonly found: { readonly step: number; readonly t: TState }
  }
  /** Found and wanted in one sentence. */
  readonly sentence: string
}

export interface Comparison {
  readonly difference: Difference | null
  /** Events that agree, in the order of the wanted run: pages show both runs side by side by them. */
  readonly locked: readonly LockedPair[]
}
