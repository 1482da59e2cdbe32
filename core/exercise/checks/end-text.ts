import type { Addr } from '../../cpu/index.ts'
import type { RunEnd } from '../../run/index.ts'
import { showWord } from '../../image/index.ts'

/** How a run ended, as a phrase. */
export function endText(end: RunEnd, lastPc: Addr): string {
  switch (end.kind) {
    case 'halted':
      return `HALT at ${showWord(lastPc)}`
    case 'returned':
      return `RET to the caller at ${showWord(lastPc)}`
    case 'breakpoint':
      return `stopped at ${showWord(end.address)}`
    case 'budget-used-up':
      return end.loop === null
        ? `budget used up at ${showWord(lastPc)}`
        : `budget used up in the loop ${showWord(end.loop.from)} to ${showWord(end.loop.to)}`
    case 'proven-loop':
      return `never ends: the loop ${showWord(end.loop.from)} to ${showWord(end.loop.to)} repeats the same state`
    case 'left-program':
      return `ran out of the program to ${showWord(end.address)} after the instruction at ${showWord(end.from)}`
    case 'stopped':
      return `stopped from outside at ${showWord(lastPc)}`
    case 'stack-fault':
      return `the stack ran out of RAM (SP = ${showWord(end.sp)}) at ${showWord(lastPc)}`
  }
}
