import type { CauseId } from './cause-ids.ts'
import { countZero } from './count-zero.ts'
import { counters } from './counters.ts'
import { counts } from './counts.ts'
import { data } from './data.ts'
import type { Detector } from './detector.ts'
import { endlessLoop } from './endless-loop.ts'
import { ends } from './ends.ts'
import { flags } from './flags.ts'
import { jumps } from './jumps.ts'
import { keying } from './keying.ts'
import { leftovers } from './leftovers.ts'
import { limitNotTested } from './limits.ts'
import { moves } from './moves.ts'
import { pauseMissing } from './pause-missing.ts'
import { pointers } from './pointers.ts'
import { ports } from './ports.ts'
import { pointerNotReset } from './read-past.ts'
import { registers } from './registers.ts'
import { results } from './results.ts'
import { stack } from './stack.ts'
import { strayWrites } from './stray-writes.ts'
import { task } from './task.ts'
import { timing } from './timing.ts'

const bySubject: readonly Detector[] = [
  pauseMissing,
  ...ends,
  ...stack,
  ...task,
  ...registers,
  ...jumps,
  ...flags,
  ...counters,
  pointerNotReset,
  countZero,
  ...counts,
  limitNotTested,
  endlessLoop,
  ...pointers,
  ...moves,
  ...results,
  ...strayWrites,
  ...data,
  ...timing,
  ...ports,
  ...keying,
  ...leftovers,
]

/**
 * Those that try edits, the surest first and those with many edits late: what one of them has mended leaves little time to
 * those behind it. The others only look.
 */
const trying: readonly CauseId[] = [
  ...[
    'no-end',
    'stack-imbalance',
    'zero-test-spoils-a',
    'register-destroyed-by-call',
    'counter-not-reloaded',
    'count-zero',
  ],
  ...['pair-sets-no-flag', 'signed-for-unsigned', 'jump-time', 'waves-for-edges', 'time-constant', 'wrong-end'],
  ...['wrong-port', 'ei-missing', 'register-not-kept', 'not-initialised', 'decimal-adjust-missing'],
  ...['value-and-contents', 'copy-direction', 'count-off-by-one', 'decimal-and-hex', 'bytes-in-wrong-order'],
  ...['displacement-sign', 'displacement-from-opcode', 'displacement-off', 'condition-flipped', 'carry-not-cleared'],
  ...['flag-clobbered', 'source-and-target-swapped', 'carry-lost', 'jump-for-call', 'address-off-by-one'],
  ...['wrong-data', 'equal-case', 'flag-not-set', 'stray-write', 'routine-not-called', 'wrong-operand'],
  ...['wrong-register', 'byte-extra', 'neighbours-swapped', 'byte-missing', 'mistyped-digit'],
  ...['steps-in-wrong-order', 'wrong-instruction', 'instruction-left-out'],
] as const

const place = ({ id }: Detector): number => trying.indexOf(id)

/** Every detector in the order in which they are asked. */
export const detectors: readonly Detector[] = bySubject.toSorted((a, b) => place(a) - place(b))

/** Whether a detector may use more time when nothing sure was found. */
export function triesEdits(detector: Detector): boolean {
  return place(detector) >= 0
}

/** The detector of a cause. */
export function detectorOf(id: CauseId): Detector {
  const found = detectors.find((detector) => detector.id === id)
  if (found === undefined) throw new Error(`no detector ${id}`)
  return found
}
