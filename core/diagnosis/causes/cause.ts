import type { Addr, TState } from '../../cpu/index.ts'
import type { CauseId } from './cause-ids.ts'

/** Why a hand-in fails, as far as the run and the program tell. Plain JSON. */
export interface Cause {
  readonly id: CauseId
  readonly title: string
  /** To the student: what was found, and what it should have been. */
  readonly message: string
  /** Case instance, step and T-state at which it shows; step and t are null where only the program was looked at. */
  readonly caseId: string
  readonly step: number | null
  readonly t: TState | null
  /** Address of the instruction, or of the byte of data. */
  readonly address: Addr | null
  /** Line of the student's own text; null for a hand-in without one. */
  readonly line: number | null
  readonly found: string
  readonly wanted: string
  /** Id of a concept card in `conceptCards`. */
  readonly card: CauseId
  /** The failed checks that it explains. */
  readonly checkIds: readonly string[]
  /** 0 to 1; causes come with falling certainty. */
  readonly certainty: number
  /** Its evidence lies on a visible case and a visible check. */
  readonly isVisible: boolean
}

/** A concept with one worked example, at most 120 words together. */
export interface ConceptCard {
  readonly title: string
  readonly text: string
  readonly example: string
}
