import type { Addr, TState } from '../../cpu/index.ts'
import type { Image } from '../../image/index.ts'
import type { CauseId } from './cause-ids.ts'
import type { Scene } from './scene.ts'

/** A sign of a cause: something that was seen in the run, or an edit that would mend the hand-in if it is the cause. */
export interface Sign {
  /** How sure the cause is if the sign holds: 0 to 1. Of an edit: if it makes everything right. */
  readonly weight: number
  /** Tried before it counts: it must make a failed check right and none wrong. Absent for what was seen. */
  readonly image?: Image
  /** A slip of the fingers: one byte, not an instruction. */
  readonly isKeyed?: boolean
  readonly address?: Addr | null
  readonly step?: number | null
  readonly t?: TState | null
  /** Case instance in which it was seen; the first failing one unless given. */
  readonly caseId?: string
  /** Failed checks that it explains; those of its case, or that the edit mends, unless given. */
  readonly checkIds?: readonly string[]
  readonly found: string
  readonly wanted: string
  readonly message: string
}

/** One way of going wrong, and how it is told from others. It never looks at which exercise it is. */
export interface Detector {
  readonly id: CauseId
  /** What it is, in a few words for a list. */
  readonly title: string
  /** What it tells is what comes of some mistake, not the mistake: a proven edit elsewhere says more. */
  readonly isConsequence?: boolean
  /** What it looks at, for whoever reads the table. */
  readonly looksAt: string
  signs(scene: Scene): Iterable<Sign>
}
