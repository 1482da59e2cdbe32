import type { Runs } from './runs.ts'

/** One look of a digit over time; `segments` bit 0 = a … 7 = point. */
export interface DigitLook {
  readonly segments: number
  readonly glyph: string
  readonly state: 'steady' | 'flickers' | 'blinks' | 'dark' | 'ghosted'
}

/** A stretch in which the cone kept moving, with what was measured over it. */
export interface Sound {
  readonly from: number
  readonly to: number
  readonly edges: number
  readonly frequencyHz: number | null
  readonly duty: number | null
  readonly jitterTStates: number | null
}

/**
 * What runs along the time axis. Values of `runs` are indexes into the table of the lane (`looks`, `names`), a level of 0
 * or 1, or a depth in bytes. Everything here survives being posted from a worker.
 */
export type Lane =
  | {
      readonly kind: 'digit'
      readonly id: string
      readonly title: string
      readonly runs: Runs
      readonly looks: readonly DigitLook[]
    }
  | {
      readonly kind: 'speaker'
      readonly id: string
      readonly title: string
      readonly runs: Runs
      readonly sounds: readonly Sound[]
    }
  | {
      readonly kind: 'place'
      readonly id: string
      readonly title: string
      readonly runs: Runs
      readonly names: readonly string[]
    }
  | {
      readonly kind: 'depth'
      readonly id: string
      readonly title: string
      readonly runs: Runs
      readonly deepest: number
    }
  | {
      readonly kind: 'keys'
      readonly id: string
      readonly title: string
      readonly runs: Runs
      readonly names: readonly string[]
    }
  /** A register, a byte of memory, what went through a port: hexadecimal, of as many digits. */
  | {
      readonly kind: 'value'
      readonly id: string
      readonly title: string
      readonly runs: Runs
      readonly digits: 2 | 4
    }
  /** Lines that are on or off at once, bit 0 the first of `names`; `noun` says what one of them is. */
  | {
      readonly kind: 'bits'
      readonly id: string
      readonly title: string
      readonly runs: Runs
      readonly noun: 'segment' | 'digit' | 'lamp' | 'switch'
      readonly names: readonly string[]
    }
  | {
      readonly kind: 'marks'
      readonly id: string
      readonly title: string
      readonly times: Float64Array<ArrayBuffer>
      readonly words: readonly string[]
    }

export type LaneKind = Lane['kind']

/** A lane as text, cut to the window: the same facts as the drawing. */
export interface LaneRow {
  readonly from: number
  readonly to: number
  readonly words: string
}
