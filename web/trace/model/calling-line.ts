import { lineAt, type ShownLine } from '../../machine/shown-lines.ts'
import type { Moment } from './moment.ts'

/** The line of the program from which the code at the cursor was called, read from the stack; −1 where there is none. */
export function callingLine(lines: readonly ShownLine[], moment: Moment): number {
  for (const word of moment.stack) {
    if (word.note === null) continue
    for (const length of [3, 1]) {
      const found = lineAt(lines, (word.value - length) & 0xffff)
      if (found >= 0) return found
    }
  }
  return -1
}
