import type { BoardEvent } from '../../board/index.ts'
import type { Addr, Byte, TState } from '../../cpu/index.ts'
import type { RegisterName } from '../../exercise/index.ts'

/** The flags by the manual's names; y and x are the undocumented bits 5 and 3. */
export const flagNames = ['c', 'n', 'pv', 'x', 'h', 'y', 'z', 's'] as const
export type FlagName = (typeof flagNames)[number]

/**
 * What a question asks about. A port write: the last one before the step, of any port where `port` is null. Time: where the
 * time from step `from` on went. End: why the run ended as it did, or why it did not.
 */
export type WhyTarget =
  | { readonly kind: 'register'; readonly register: RegisterName }
  | { readonly kind: 'flag'; readonly flag: FlagName }
  /** With `others`: those bytes too, which the same check finds wrong. */
  | { readonly kind: 'memory'; readonly address: Addr; readonly others?: readonly Addr[] }
  | { readonly kind: 'port-write'; readonly port: Byte | null }
  | { readonly kind: 'time'; readonly from: number }
  | { readonly kind: 'end' }

/** A register, flag, byte of memory or port with what it held: `{ what: 'A', value: 5 }`, `{ what: '(4600h)', value: 55 }`. */
export interface WhyFact {
  /** `A`, `HL`, `flag Z`, `(4600h)`, `port 22h`. */
  readonly what: string
  readonly value: number
  readonly bits: 1 | 8 | 16
}

/** One instruction that had a part in it. */
export interface WhyPart {
  readonly step: number
  readonly t: TState
  readonly pc: Addr
  /** As an assembler reads it, with the names of the firmware. */
  readonly text: string
  /** `made`: it wrote a value that went in. `decided`: a condition that led here, and not another way. */
  readonly role: 'made' | 'decided'
  readonly read: readonly WhyFact[]
  readonly wrote: readonly WhyFact[]
  /** How often this instruction had a part; `step` is the last time, `firstStep` the first one seen. */
  readonly times: number
  readonly firstStep: number
  /** 1 is the most telling, then 2 and so on. */
  readonly rank: number
  /** It stands in ROM: what it does is right. */
  readonly isFirmware: boolean
}

/** Where the values came from that no instruction made. */
export interface WhySource {
  /** `given`: stood there when the run began. `input`: a port gave it. */
  readonly kind: 'given' | 'input'
  readonly what: string
  readonly value: number
  /** Of a port of keys or switches: what was moved last before it was read. */
  readonly moved?: Extract<BoardEvent, { kind: 'key' | 'switches' }>
}

/** Why a value is what it is: the instructions behind it. */
export interface Why {
  readonly target: WhyTarget
  /** `A`, `flag Z`, `4600h`, `port 22h`, `the end of the run`, `the time taken`. */
  readonly what: string
  /** What it held before `step`; of a port write the byte, of time the T-states. Null for an end, or without a port write. */
  readonly value: number | null
  readonly step: number
  /** `Nothing wrote 4707h: it holds what stood there at the start.`, in one or two sentences. */
  readonly sentence: string
  /** In the order of the run, each instruction once. */
  readonly parts: readonly WhyPart[]
  readonly sources: readonly WhySource[]
  /** There would have been more parts; the most distant are left out. */
  readonly isCut: boolean
}

/** Why an instruction never ran. */
export interface WhyNever {
  readonly address: Addr
  /** It did run, for the first time in that step: then there is nothing to explain. */
  readonly ranAt: number | null
  /** The last branch that could have led there and went the other way; null where none could have. */
  readonly turn: WhyTurn | null
  readonly sentence: string
}

/** A branch as it was taken. */
export interface WhyTurn {
  readonly step: number
  readonly t: TState
  readonly pc: Addr
  readonly text: string
  /** How often it was executed; each time it went the other way. */
  readonly times: number
  /** What its condition looked at. */
  readonly read: readonly WhyFact[]
  /** F at that moment. */
  readonly flags: Byte
  /** Where it went, and where the way to the address begins. */
  readonly went: Addr
  readonly other: Addr
  /** The instruction that made what the condition looked at; null where nothing did. */
  readonly setBy: WhyPart | null
}
