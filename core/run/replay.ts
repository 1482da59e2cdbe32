import { countWork, ramPages } from '../board/index.ts'
import type { Addr, Trace, TracedStep, TState } from '../cpu/index.ts'
import { Machine, type MachineState } from './machine.ts'
import type { RunRequest } from './request.ts'

/** What it takes to trace a step and to look at it, beside executing it. */
const workOfTracedStep = 4

/** A run's machine, put back to any of its steps and executed again from there, silently. */
export class Replay {
  readonly machine: Machine
  readonly #pages: readonly number[]
  readonly #checkpoints: MachineState[] = []

  constructor(request: RunRequest) {
    this.machine = new Machine(request.profile)
    this.#pages = ramPages(request.profile)
  }

  /** Keep the machine's present state. Pages that were not written to since the last one are shared with it. */
  take(): void {
    const { cpu, board } = this.machine
    const last = this.#checkpoints.at(-1)
    const dirty = new Set(cpu.takeDirtyPages())
    const ram = this.#pages.map(
      (page, k) => (dirty.has(page) ? undefined : last?.ram[k]) ?? { page, bytes: this.machine.page(page) },
    )
    this.#checkpoints.push({ cpu: cpu.save(), eventsNow: 0, ram, board: board.save() })
  }

  /** No more recording: back to the start, and from now on nothing is logged, nothing watched, nothing stops. */
  seal(): void {
    this.machine.board.log = null
    this.disarm()
    this.machine.putBack(this.#lastBefore(() => false))
  }

  /** Take off every mark that a search has put on. */
  disarm(): void {
    this.machine.board.onWrite = null
    this.machine.markMemory()
  }

  /** Bytes that the checkpoints take up. */
  get size(): number {
    return new Set(this.#checkpoints.flatMap(({ ram }) => ram.map(({ bytes }) => bytes))).size * 256
  }

  /** Steps at which the checkpoints stand, the first at 0. */
  get checkpointSteps(): readonly number[] {
    return this.#checkpoints.map(({ cpu }) => cpu.steps)
  }

  /** Put the machine before instruction `step`. From where it stands, if that is on the way. */
  seek(step: number): Machine {
    const { machine } = this
    const state = this.#lastBefore((checkpoint) => checkpoint.cpu.steps <= step)
    if (machine.steps > step || machine.steps < state.cpu.steps) machine.putBack(state)
    if (machine.steps < step) machine.advanceSteps(step - machine.steps)
    return machine
  }

  /** Put the machine behind the instruction that is being executed at T-state `t`. */
  seekPast(t: number): Machine {
    const { machine } = this
    machine.putBack(this.#lastBefore((checkpoint) => checkpoint.cpu.tStates <= t))
    machine.advance(t + 1, false)
    return machine
  }

  /**
   * Executes the steps `from` to `to` (excluded) with a trace, a ring full at a time. `visit` sees steps `first` to
   * `first + count - 1` in the trace while the machine stands behind them; it may give false to end it, and must not move
   * the machine.
   */
  scan(from: number, to: number, visit: (trace: Trace, first: number, count: number) => boolean | void): void {
    const { cpu } = this.machine
    const { trace } = cpu
    for (let first = from; first < to; first += trace.capacity) {
      const count = Math.min(to - first, trace.capacity)
      this.seek(first)
      cpu.setTracing(true)
      this.machine.advanceSteps(count)
      cpu.setTracing(false)
      countWork(workOfTracedStep * count)
      if (visit(trace, first, count) === false) return
    }
  }

  /** The steps `from` to `to` (excluded) as the CPU traced them; `memory` is what each finds when it begins. */
  trace(from: number, to: number, visit: (traced: TracedStep, step: number, memory: Uint8Array) => void): void {
    const memory = this.seek(from).memory.slice()
    this.scan(from, to, (trace, first, count) => {
      for (let k = 0; k < count; k++) {
        const traced = trace.at(k)
        visit(traced, first + k, memory)
        for (const { address, value } of traced.writes) memory[address] = value
      }
    })
  }

  /** The same in numbers only: T-state, address and SP in which each of the steps begins. */
  walk(from: number, to: number, visit: (step: number, t: TState, pc: Addr, sp: Addr) => void): void {
    this.scan(from, to, (trace, first, count) => {
      const [timeOf, pcOf, spOf] = [trace.times(), trace.column('pc'), trace.column('sp')]
      for (let k = 0; k < count; k++) visit(first + k, timeOf(k), pcOf(k), spOf(k))
    })
  }

  #lastBefore(isBefore: (checkpoint: MachineState) => boolean): MachineState {
    let low = 0
    let high = this.#checkpoints.length
    while (low < high) {
      const middle = (low + high) >>> 1
      const checkpoint = this.#checkpoints[middle]
      if (checkpoint !== undefined && isBefore(checkpoint)) low = middle + 1
      else high = middle
    }
    const found = this.#checkpoints[Math.max(0, low - 1)]
    if (found === undefined) throw new Error('a recording has a checkpoint at step 0')
    return found
  }
}
