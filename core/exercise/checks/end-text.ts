import type { BoardProfile } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
import type { EventFlood, RunEnd } from '../../run/index.ts'
import { showByte, showCount, showWord } from '../../image/index.ts'

/** `the loop 4005h to 4007h`, and whose it is when it is not the program's own. */
function loopText({ from, to }: { readonly from: Addr; readonly to: Addr }, profile?: BoardProfile): string {
  const isRom = profile?.memory.some((region) => region.kind === 'rom' && from >= region.from && from <= region.to)
  return `the ${isRom === true ? "firmware's " : ''}loop ${showWord(from)} to ${showWord(to)}`
}

/** `port 22h was written 333,334 times in 2.7 s`: what a run made too much of. */
export function floodText({ kind, where, count, tStates }: EventFlood, profile?: BoardProfile): string {
  const time = profile === undefined ? showCount(tStates, 'T-state') : `${inFigures(tStates / profile.clockHz)} s`
  const times = `${showCount(count, 'time')} in ${time}`
  switch (kind) {
    case 'port-write':
      return `port ${showByte(where ?? 0)} was written ${times}`
    case 'port-read':
      return `port ${showByte(where ?? 0)} was read ${times}`
    case 'memory-write':
      return `memory was written ${times}, most often ${showWord(where ?? 0)}`
    case 'speaker-edge':
      return `the speaker was moved ${times}`
    case 'key':
      return `keys went up and down ${times}`
    case 'switches':
      return `switches were moved ${times}`
    case 'interrupt':
      return `interrupts were accepted ${times}`
    case 'interrupt-lost':
      return `interrupts were lost ${times}`
  }
}

/** Two significant figures, as 0.44 or 2.7; whole seconds from 10 on. */
function inFigures(seconds: number): string {
  return seconds >= 10 ? seconds.toFixed(0) : String(Number(seconds.toPrecision(2)))
}

/** What a run made too much of; null for one that ended otherwise. */
export function floodOf(end: RunEnd): EventFlood | null {
  return end.kind === 'budget-used-up' ? (end.events ?? null) : null
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
      if (end.events !== undefined) return floodText(end.events, profile)
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
