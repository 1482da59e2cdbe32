import { addresses } from './addresses.ts'
import type { CauseId } from './cause-ids.ts'
import type { Detector } from './detector.ts'
import { ends } from './ends.ts'
import { flags } from './flags.ts'
import { jumps } from './jumps.ts'
import { keying } from './keying.ts'
import { leftovers } from './leftovers.ts'
import { loops } from './loops.ts'
import { ports } from './ports.ts'
import { registers } from './registers.ts'
import { stack } from './stack.ts'
import { task } from './task.ts'
import { timing } from './timing.ts'

/** Every detector: first those that only look, so that the edits of the others have the rest of the time. */
export const detectors: readonly Detector[] = [
  ...ends,
  ...stack,
  ...task,
  ...registers,
  ...jumps,
  ...flags,
  ...loops,
  ...addresses,
  ...timing,
  ...ports,
  ...keying,
  ...leftovers,
]

/** The detector of a cause. */
export function detectorOf(id: CauseId): Detector {
  const found = detectors.find((detector) => detector.id === id)
  if (found === undefined) throw new Error(`no detector ${id}`)
  return found
}
