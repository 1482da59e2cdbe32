import { eventCode, ramPages } from '../board/index.ts'
import { attribute } from '../cpu/index.ts'
import type { Addr, CpuState, CpuStop, TState } from '../cpu/index.ts'
import type { Machine } from './machine.ts'

/** First look after so many T-states, each later one after three times as many. */
const firstLook = 50_000
/**
 * Times that the instruction is reached in one look. R goes round in 128 instructions, so that the state of a short loop is
 * back after 128 rounds at the latest.
 */
const mostRounds = 300
const longestLook = 2_000_000

/** Where the run is stopped, and the state there the first time. */
interface Trap {
  readonly at: Addr
  readonly until: TState
  seen: Seen | null
  /** How often the instruction has been reached when the run stops there next. */
  rounds: number
  /** Someone else has to see every time that it is reached. */
  isEveryRoundSeen: boolean
}

interface Seen {
  readonly cpu: CpuState
  readonly ram: readonly Uint8Array[]
  readonly outputs: number
  /** T-states to the timer's next tick. */
  readonly phase: TState
  readonly events: number
}

/**
 * Watches a run for the proof that it can never end: registers, RAM, latches and the timer's phase all come back, and no
 * key or switch is still to be moved. Now and then it marks an instruction and compares each time it is reached again: the one
 * that used a port last, since a loop with delays in it comes there less often than anywhere else, or the one at hand.
 */
export class LoopProof {
  isProven = false
  /** A port was written to between the two equal states: what the loop does can be seen or heard. */
  hasOutput = false
  readonly #machine: Machine
  readonly #endsAt: (address: Addr) => boolean
  readonly #pages: readonly number[]
  #trap: Trap | null = null
  #nextLook = firstLook

  /** `endsAt` tells where the run ends by itself: at marks that stood before, unless told. */
  constructor(machine: Machine, endsAt?: (address: Addr) => boolean) {
    this.#machine = machine
    this.#endsAt = endsAt ?? ((address) => ((machine.cpu.attributes[address] ?? 0) & attribute.stopAt) !== 0)
    this.#pages = ramPages(machine.profile)
  }

  /** T-state at which `look` wants to be called next. */
  get nextTime(): TState {
    if (this.isProven) return Infinity
    return this.#trap?.until ?? this.#nextLook
  }

  /** Where it has the machine stopped at the moment; null for nowhere. */
  get address(): Addr | null {
    return this.#trap?.at ?? null
  }

  /** Puts its mark on again, if it has one: someone else's was taken off the same byte. */
  renewMark(): void {
    if (this.#trap !== null) this.#mark(this.#trap.at, true)
  }

  /** From now on the machine is to be stopped there each time, not only when the state is worth comparing. */
  stopEveryRound(): void {
    const trap = this.#trap
    if (trap === null || trap.isEveryRoundSeen) return
    trap.isEveryRoundSeen = true
    const { cpu } = this.#machine
    const ahead = cpu.passesLeft
    // Standing there it still has the one pass that takes it on.
    const own = cpu.instructionAddress === trap.at && ahead > 0 ? 1 : 0
    trap.rounds -= ahead - own
    cpu.passAt(trap.at, own)
  }

  /** The machine has been taken over the instruction by other means than the pass that `look` gave it. */
  hasPassed(): void {
    if (this.#trap?.isEveryRoundSeen === true) this.#machine.cpu.passAt(this.#trap.at, 0)
  }

  /** Whether the machine was stopped at `pc` by this. */
  isAt(pc: Addr): boolean {
    return this.#trap?.at === pc
  }

  /** To be called whenever the run has come to a stop but for its end, with that; true once there is a proof. */
  look(stop: CpuStop): boolean {
    if (this.isProven) return true
    const { cpu, tStates: t } = this.#machine
    if (this.#trap === null) {
      if (t >= this.#nextLook) this.#trap = this.#makeTrap(t)
      return false
    }
    const trap = this.#trap
    // A run that is cut just here may have an interrupt to accept before it comes to the instruction.
    if (stop === 'stop-at' && this.isAt(cpu.instructionAddress)) {
      if (trap.seen !== null && isWorthComparing(trap.rounds - 1) && this.#isSame(trap.seen)) {
        this.isProven = true
        this.hasOutput = this.#wroteSince(trap.seen.events)
        this.#release()
        return true
      }
      trap.seen ??= this.#see()
      if (trap.rounds >= mostRounds || t >= trap.until) this.#release()
      else {
        const next = trap.isEveryRoundSeen ? trap.rounds + 1 : nextRound(trap.rounds)
        cpu.passAt(trap.at, next - trap.rounds)
        trap.rounds = next
      }
    } else if (t >= trap.until) this.#release()
    return false
  }

  #makeTrap(t: TState): Trap | null {
    const { board, cpu } = this.#machine
    if (board.nextInput < Infinity || cpu.registers().isHalted) {
      this.#nextLook = t + firstLook
      return null
    }
    const at = this.#lastPortAccess() ?? cpu.instructionAddress
    // The run ends there, by itself.
    if (this.#endsAt(at)) {
      this.#nextLook = t + firstLook
      return null
    }
    this.#mark(at, true)
    return { at, until: t + Math.min(t, longestLook), seen: null, rounds: 1, isEveryRoundSeen: false }
  }

  #lastPortAccess(): Addr | null {
    const { log } = this.#machine.board
    for (let i = (log?.length ?? 0) - 1; log !== null && i >= 0; i--) {
      const code = log.codeAt(i)
      if (code === eventCode.portWrite || code === eventCode.portRead) return log.pcAt(i)
    }
    return null
  }

  #see(): Seen {
    const { board, cpu } = this.#machine
    return {
      cpu: cpu.save(),
      ram: this.#pages.map((page) => this.#machine.page(page)),
      outputs: board.outputs(),
      phase: board.nextTick - cpu.tStates,
      events: board.log?.length ?? 0,
    }
  }

  #release(): void {
    if (this.#trap !== null) {
      this.#mark(this.#trap.at, false)
      this.#machine.cpu.passAt(this.#trap.at, 0)
    }
    this.#trap = null
    this.#nextLook = 3 * this.#machine.tStates
  }

  #mark(address: Addr, isOn: boolean): void {
    const { attributes } = this.#machine.cpu
    const bits = attributes[address] ?? 0
    attributes[address] = isOn ? bits | attribute.stopAt : bits & ~attribute.stopAt
  }

  #isSame(seen: Seen): boolean {
    const { board, cpu, tStates, memory } = this.#machine
    // Nearly every time a register tells at once, so they come first and alone.
    if (!sameFields(cpu.registers(), seen.cpu.registers)) return false
    const { tStates: _t, steps: _s, registers: _r, ...rest } = cpu.save()
    return (
      sameFields(rest, seen.cpu) &&
      board.outputs() === seen.outputs &&
      (board.nextTick === Infinity || board.nextTick - tStates === seen.phase) &&
      this.#pages.every((page, k) => seen.ram[k]?.every((byte, i) => byte === memory[(page << 8) | i]))
    )
  }

  #wroteSince(first: number): boolean {
    const { log } = this.#machine.board
    for (let i = first; log !== null && i < log.length; i++) if (log.codeAt(i) === eventCode.portWrite) return true
    return false
  }
}

/**
 * Comparing costs more than a round. R comes back after a power of two of rounds, a loop in a loop has a small factor
 * more: 1, 2, 3, 4, 6, 8, 12, 16 … rounds after the first time are enough.
 */
function isWorthComparing(rounds: number): boolean {
  const odd = rounds & -rounds
  return rounds === odd || rounds === 3 * odd
}

/** The round after `rounds` at which the run has to stop. */
function nextRound(rounds: number): number {
  let next = rounds + 1
  while (next < mostRounds && !isWorthComparing(next - 1)) next += 1
  return next
}

/** Whether every field of `some` is the same in `all`. */
function sameFields<T extends object>(some: T, all: T): boolean {
  for (const name in some) if (some[name] !== all[name]) return false
  return true
}
