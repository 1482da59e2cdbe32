import { attribute } from '../cpu/index.ts'
import type { Addr, AnyRegister, Byte, TState } from '../cpu/index.ts'
import type { Machine } from './machine.ts'
import { registerValue } from './register-value.ts'

/** Where a machine on the bench shall stop. */
export type Stop =
  /** Before the instruction at an address. */
  | { readonly kind: 'address'; readonly address: Addr }
  /** After the instruction that writes to a byte, reads a port or writes to one; null is any port. */
  | { readonly kind: 'memory-write'; readonly address: Addr }
  | { readonly kind: 'port-read' | 'port-write'; readonly port: Byte | null }
  /** Before the first instruction at or after a T-state of the machine. */
  | { readonly kind: 'time'; readonly t: TState }
  /** When a register comes to compare so, having not done so before. */
  | { readonly kind: 'register'; readonly register: AnyRegister; readonly is: Comparison; readonly value: number }

export type Comparison = '=' | '≠' | '<' | '>'

/** No instruction is shorter. */
const shortest = 4

/**
 * Runs until T-state `limit` of the machine or the first of `stops`, and tells which; null at the limit. An address stop at
 * which the machine stands already is passed; one that it comes to with the limit is told, so that many short runs stop
 * where a long one does.
 */
export function runToStop(machine: Machine, limit: TState, stops: readonly Stop[]): Stop | null {
  const watch = new Watch(machine, stops)
  watch.arm()
  try {
    const stop = watch.run(limit)
    machine.board.catchUp(machine.tStates)
    return stop
  } finally {
    watch.disarm()
  }
}

class Watch {
  readonly #machine: Machine
  readonly #stops: readonly Stop[]
  readonly #conditions: readonly (Stop & { readonly kind: 'register' })[]
  /** What an instruction has just done that was waited for. */
  #done: Stop | null = null

  constructor(machine: Machine, stops: readonly Stop[]) {
    this.#machine = machine
    this.#stops = stops
    this.#conditions = stops.filter((stop) => stop.kind === 'register')
  }

  arm(): void {
    const { cpu, board } = this.#machine
    this.#machine.markMemory()
    const mark = (address: Addr, bit: number) => {
      cpu.attributes[address] = (cpu.attributes[address] ?? 0) | bit
    }
    for (const stop of this.#stops) {
      if (stop.kind === 'address') mark(stop.address, attribute.stopAt)
      if (stop.kind === 'memory-write') mark(stop.address, attribute.watchWrite)
    }
    const done = (isWanted: (stop: Stop) => boolean) => {
      const stop = this.#stops.find(isWanted)
      if (stop === undefined) return
      this.#done ??= stop
      cpu.requestStop()
    }
    board.onWrite = (address) => done((stop) => stop.kind === 'memory-write' && stop.address === address)
    board.onPort = (isWrite, port) => {
      const kind = isWrite ? 'port-write' : 'port-read'
      done((stop) => stop.kind === kind && (stop.port === null || stop.port === port))
    }
  }

  disarm(): void {
    this.#machine.board.onWrite = null
    this.#machine.board.onPort = null
    this.#machine.markMemory()
  }

  run(limit: TState): Stop | null {
    const machine = this.#machine
    let isFirst = true
    while (machine.tStates < limit) {
      const time = this.#nextTime()
      const until = Math.min(limit, time?.t ?? Infinity)
      const stop = this.#conditions.length > 0 ? this.#goWatching(until, isFirst) : this.#go(until, isFirst)
      if (stop !== null) return stop
      if (time !== null && machine.tStates >= time.t) return time
      isFirst = false
    }
    return null
  }

  #nextTime(): (Stop & { readonly kind: 'time' }) | null {
    const ahead = this.#stops.filter((stop) => stop.kind === 'time').filter(({ t }) => t > this.#machine.tStates)
    return ahead.sort((a, b) => a.t - b.t)[0] ?? null
  }

  #go(until: TState, isFirst: boolean): Stop | null {
    const machine = this.#machine
    if (isFirst && this.#addressStop() !== null) {
      machine.step()
      if (this.#done !== null) return this.#done
    }
    machine.advance(until, false)
    return this.#done ?? (machine.isNextAnInstruction() ? this.#addressStop() : null)
  }

  #addressStop(): Stop | null {
    const pc = this.#machine.cpu.instructionAddress
    return this.#stops.find((stop) => stop.kind === 'address' && stop.address === pc) ?? null
  }

  /** Runs a stretch with a trace, and goes back to where a condition first came true in it. */
  #goWatching(until: TState, isFirst: boolean): Stop | null {
    const machine = this.#machine
    const { trace } = machine.cpu
    const start = machine.saveState()
    const firstStep = machine.steps
    machine.cpu.setTracing(true)
    const stop = this.#go(Math.min(until, machine.tStates + shortest * trace.capacity), isFirst)
    machine.cpu.setTracing(false)
    const found = this.#firstTrue(machine.steps - firstStep)
    if (found === null) return stop
    if (found.steps < machine.steps - firstStep) {
      this.disarm()
      machine.restoreState(start)
      machine.advanceSteps(found.steps)
    }
    return found.stop
  }

  /** The condition that comes true after the fewest of the traced steps. */
  #firstTrue(count: number): { readonly steps: number; readonly stop: Stop } | null {
    const { cpu } = this.#machine
    let first: { readonly steps: number; readonly stop: Stop } | null = null
    for (const stop of this.#conditions) {
      const valueOf = cpu.trace.column(stop.register)
      const now = registerValue(cpu.registers(), stop.register)
      const holdsAt = (k: number) => compares(k === count ? now : valueOf(k), stop.is, stop.value)
      for (let k = 1; k <= count && k < (first?.steps ?? Infinity); k++)
        if (holdsAt(k) && !holdsAt(k - 1)) first = { steps: k, stop }
    }
    return first
  }
}

function compares(found: number, is: Comparison, value: number): boolean {
  switch (is) {
    case '=':
      return found === value
    case '≠':
      return found !== value
    case '<':
      return found < value
    case '>':
      return found > value
  }
}
