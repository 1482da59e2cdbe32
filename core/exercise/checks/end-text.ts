import type { BoardProfile } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
import type { RunEnd } from '../../run/index.ts'
import { showWord } from '../../image/index.ts'

/** `the loop 4005h to 4007h`, and whose it is when it is not the program's own. */
function loopText({ from, to }: { readonly from: Addr; readonly to: Addr }, profile?: BoardProfile): string {
  const isRom = profile?.memory.some((region) => region.kind === 'rom' && from >= region.from && from <= region.to)
  return `the ${isRom === true ? "firmware's " : ''}loop ${showWord(from)} to ${showWord(to)}`
}

/** How a run ended, as a phrase; with `profile` it tells a loop of the firmware from one of the program. */
export function endText(end: RunEnd, lastPc: Addr, profile?: BoardProfile): string {
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
        : `budget used up in ${loopText(end.loop, profile)}`
    case 'proven-loop':
      return `never ends: ${loopText(end.loop, profile)} repeats the same state`
    case 'left-program':
      return `ran out of the program to ${showWord(end.address)} after the instruction at ${showWord(end.from)}`
    case 'stopped':
      return `stopped from outside at ${showWord(lastPc)}`
    case 'stack-fault':
      return `the stack ran out of RAM (SP = ${showWord(end.sp)}) at ${showWord(lastPc)}`
  }
}
