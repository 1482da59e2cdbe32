import type { Addr } from '../cpu/index.ts'
import type { Machine } from './machine.ts'
import type { LoopRange } from './request.ts'

/** Instructions looked at: a delay loop goes round many times in them, a loop with a sweep of the display once or twice. */
const steps = 8192

/**
 * The loop that a machine sits in: lowest and highest address of the instructions between two visits of one of them, ROM
 * routines counted as part of the instruction that calls them. Null where nothing came back. Runs the machine on, silently.
 */
export function loopRange(machine: Machine): LoopRange | null {
  machine.board.log = null
  machine.board.onWrite = null
  machine.markMemory()
  const visited: Addr[] = []
  for (let k = 0; k < steps; k++) {
    visited.push(machine.cpu.instructionAddress)
    machine.step()
  }
  const isRom = (address: Addr) =>
    machine.profile.memory.some(({ kind, from, to }) => kind === 'rom' && from <= address && address <= to)
  const outside = visited.filter((address) => !isRom(address))
  const path = outside.length > 0 ? outside : visited
  const first = path.indexOf(path[path.length - 1] ?? -1)
  if (first === path.length - 1) return null
  const loop = path.slice(first)
  return { from: Math.min(...loop), to: Math.max(...loop) }
}
