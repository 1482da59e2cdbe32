import type { Fill, Tape, TapedInput } from '../../../core/run/index.ts'

/** A moment that was kept: all that had been done by then. */
export interface Kept {
  /** RAM when the power first went on. */
  readonly fill: Fill
  readonly inputs: readonly TapedInput[]
  readonly t: number
  readonly step: number
}

/** Whether the tape was not led another way before the moment: what it has more was put in after it. */
export function isNextLater(tape: Tape, kept: Kept): boolean {
  const next = tape.inputs[kept.inputs.length]
  return next === undefined || next.t >= kept.t
}
