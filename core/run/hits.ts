import { attribute } from '../cpu/index.ts'
import type { Addr, TState } from '../cpu/index.ts'
import { scanMemory } from './memory-scan.ts'
import type { RegisterName } from './questions.ts'
import { registerValue } from './register-value.ts'
import type { Replay } from './replay.ts'

/**
 * Steps in `[first, after)` at which something holds, in order. All but the first and the last may be left out: a search
 * takes one of these. The end of the run is a place to stand at, though no instruction of it is executed there.
 */
export type Hits = (first: number, after: number) => Iterable<number>

/** Steps at which the machine stands at one of `addresses`. */
export function stops(replay: Replay, addresses: readonly Addr[]): Hits {
  return function* (first, after) {
    const machine = replay.seek(first)
    const { attributes } = machine.cpu
    for (const address of addresses) attributes[address] = (attributes[address] ?? 0) | attribute.stopAt
    const wanted = new Set(addresses)
    try {
      while (machine.steps < after) {
        if (wanted.has(machine.cpu.instructionAddress)) {
          yield machine.steps
          machine.step()
        } else machine.advanceSteps(after - machine.steps)
      }
    } finally {
      replay.disarm()
    }
  }
}

/** First and last of the steps that write to `address`, by instruction or by the acceptance of an interrupt. */
export function writes(replay: Replay, address: Addr, end: number): Hits {
  return function* (first, after) {
    const last = Math.min(after, end)
    if (last <= first) return
    const times: TState[] = []
    watch(replay, address, first, last, (t) => times.push(t))
    for (const t of new Set([times[0], times.at(-1)])) if (t !== undefined) yield replay.seekPast(t).steps - 1
  }
}

/** Executes steps again and tells of every write to `address`: when the strobe came, the byte, the instruction. */
export function watch(
  replay: Replay,
  address: Addr,
  first: number,
  after: number,
  visit: (t: TState, value: number, pc: Addr) => void,
): void {
  const machine = replay.seek(first)
  const { attributes } = machine.cpu
  attributes[address] = (attributes[address] ?? 0) | attribute.watchWrite
  machine.board.onWrite = (at, value, t, pc) => {
    if (at === address) visit(t, value, pc)
  }
  machine.advanceSteps(after - first)
  replay.disarm()
}

/** Steps that take the byte at `address` as data. */
export function reads(replay: Replay, address: Addr, end: number): Hits {
  return (first, after) => {
    const found: number[] = []
    const read = (at: Addr, _value: number, step: number) => {
      if (at === address) found.push(step)
    }
    scanMemory(replay, first, Math.min(after, end), { read })
    return found
  }
}

/** Steps whose instruction leaves another value in `register`. */
export function changes(replay: Replay, register: RegisterName, end: number): Hits {
  return (first, after) => {
    const found: number[] = []
    let value: number | null = null
    const last = Math.min(after, end)
    replay.scan(first, last, (trace, firstStep, count) => {
      const valueOf = trace.column(register)
      for (let k = 0; k < count; k++) {
        const now = valueOf(k)
        if (value !== null && now !== value) found.push(firstStep + k - 1)
        value = now
      }
    })
    if (value !== null && registerValue(replay.seek(last).registers(), register) !== value) found.push(last - 1)
    return found
  }
}

/** Steps that begin with a value in `register` that is wanted; the end of the run counts too. */
export function values(
  replay: Replay,
  register: RegisterName,
  end: number,
  isWanted: (value: number, step: number) => boolean,
): Hits {
  return (first, after) => {
    const found: number[] = []
    replay.scan(first, Math.min(after, end), (trace, firstStep, count) => {
      const valueOf = trace.column(register)
      for (let k = 0; k < count; k++) if (isWanted(valueOf(k), firstStep + k)) found.push(firstStep + k)
    })
    if (after > end && isWanted(registerValue(replay.seek(end).registers(), register), end)) found.push(end)
    return found
  }
}
