import { eventCode, ramPages } from '../board/index.ts'
import { attribute } from '../cpu/index.ts'
import type { Addr, CpuState, TState } from '../cpu/index.ts'
import type { Machine } from './machine.ts'

/** First look after so many T-states, each later one after three times as many. */
const firstLook = 50_000
/**
 * Times that one look compares. R goes round in 128 instructions, so that the state of a short loop is back after 128
 * rounds at the latest.
 */
const mostRounds = 300
const longestLook = 2_000_000

interface Trap {
  readonly cpu: CpuState
  readonly ram: readonly Uint8Array[]
  readonly outputs: number
  /** T-states to the timer's next tick. */
  readonly phase: TState
  readonly events: number
  readonly until: TState
  rounds: number
}

/**
 * Watches a run for the proof that it can never end: registers, RAM, latches and the timer's phase all come back, and no
 * key is still to be pressed. Now and then it marks the instruction at hand and compares each time it is reached again.
 */
export class LoopProof {
  isProven = false
  /** A port was written to between the two equal states: what the loop does can be seen or heard. */
  hasOutput = false
  readonly #machine: Machine
  readonly #pages: readonly number[]
  #trap: Trap | null = null
  #nextLook = firstLook

  constructor(machine: Machine) {
    this.#machine = machine
    this.#pages = ramPages(machine.profile)
  }

  /** T-state at which `look` wants to be called next. */
  get nextTime(): TState {
    if (this.isProven) return Infinity
    return this.#trap?.until ?? this.#nextLook
  }

  /** Whether the machine was stopped at `pc` by this. */
  isAt(pc: Addr): boolean {
    return this.#trap?.cpu.registers.pc === pc
  }

  /** To be called whenever the run has come to a stop of any kind but its end; true once there is a proof. */
  look(): boolean {
    if (this.isProven) return true
    const t = this.#machine.tStates
    const trap = this.#trap
    if (trap === null) {
      if (t >= this.#nextLook) this.#set(t)
      return false
    }
    if (this.isAt(this.#machine.cpu.instructionAddress) && this.#machine.steps > trap.cpu.steps) {
      trap.rounds += 1
      if (this.#isSame(trap)) {
        this.isProven = true
        this.hasOutput = this.#wroteSince(trap.events)
        this.#release()
        return true
      }
      if (trap.rounds < mostRounds && t < trap.until) this.#machine.step()
    }
    if (trap.rounds >= mostRounds || t >= trap.until) this.#release()
    return false
  }

  #set(t: TState): void {
    const { board, cpu } = this.#machine
    if (board.keypad.nextChange < Infinity || cpu.registers().isHalted) {
      this.#nextLook = t + firstLook
      return
    }
    this.#trap = {
      cpu: cpu.save(),
      ram: this.#pages.map((page) => this.#machine.page(page)),
      outputs: board.outputs(),
      phase: board.nextTick - t,
      events: board.log?.length ?? 0,
      until: t + Math.min(t, longestLook),
      rounds: 0,
    }
    this.#mark(cpu.instructionAddress, true)
    this.#machine.step()
  }

  #release(): void {
    this.#mark(this.#trap?.cpu.registers.pc ?? 0, false)
    this.#trap = null
    this.#nextLook = 3 * this.#machine.tStates
  }

  #mark(address: Addr, isOn: boolean): void {
    const { attributes } = this.#machine.cpu
    const bits = attributes[address] ?? 0
    attributes[address] = isOn ? bits | attribute.stopAt : bits & ~attribute.stopAt
  }

  #isSame(trap: Trap): boolean {
    const { board, cpu, tStates, memory } = this.#machine
    const { tStates: _t, steps: _s, registers, ...rest } = cpu.save()
    const before = trap.cpu
    return (
      sameFields(registers, before.registers) &&
      sameFields(rest, before) &&
      board.outputs() === trap.outputs &&
      (board.nextTick === Infinity || board.nextTick - tStates === trap.phase) &&
      this.#pages.every((page, k) => trap.ram[k]?.every((byte, i) => byte === memory[(page << 8) | i]))
    )
  }

  #wroteSince(first: number): boolean {
    const { log } = this.#machine.board
    for (let i = first; log !== null && i < log.length; i++) if (log.codeAt(i) === eventCode.portWrite) return true
    return false
  }
}

/** Whether every field of `some` is the same in `all`. */
function sameFields<T extends object>(some: T, all: T): boolean {
  return (Object.keys(some) as (keyof T)[]).every((name) => some[name] === all[name])
}
