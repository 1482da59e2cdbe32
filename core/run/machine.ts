import { Board, countWork, digitTimeline, EventLog, powerOn, ramPages } from '../board/index.ts'
import type { BoardProfile, BoardState, DigitSpan } from '../board/index.ts'
import { attribute, createCpu } from '../cpu/index.ts'
import type { Addr, Byte, Cpu, CpuState, CpuStop, Registers, TState } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import { markPatterns } from './mark-patterns.ts'
import { filler } from './start.ts'
import type { Fill, InputsOfRun } from './request.ts'

/** T-states, or steps, between two looks at how much work may still be done. */
const longestPiece = 1_000_000
/** What an event costs to make and to look at, beside its instruction. */
const workOfEvent = 10

/** What a run took, in units of `countWork`. */
export function workOfRun({ steps, events }: { readonly steps: number; readonly events: EventLog }): number {
  return steps + workOfEvent * events.length
}

/** A machine between two instructions: put back, it goes on in the same way. */
export interface MachineState {
  readonly cpu: CpuState
  /** Events that happened in the very T-state of the state. */
  readonly eventsNow: number
  /** The pages of 256 bytes that hold RAM. */
  readonly ram: readonly { readonly page: number; readonly bytes: Uint8Array }[]
  readonly board: BoardState
}

/** A board with its CPU, switched on: what the bench on screen is, and what a run is made of. */
export class Machine {
  readonly profile: BoardProfile
  readonly cpu: Cpu
  readonly board: Board
  #log = new EventLog()
  #taken = 0
  #breakpoints: readonly Addr[] = []

  /** Powered on with RAM full of `fill`, about to execute the firmware at 0. */
  constructor(profile: BoardProfile, fill: Fill = { byte: 0 }) {
    this.profile = profile
    this.board = new Board(profile)
    this.cpu = createCpu(this.board)
    this.board.setLine = (isActive) => this.cpu.setInterruptLine(isActive)
    this.board.instructionAddress = () => this.cpu.instructionAddress
    this.powerOn(fill)
  }

  get tStates(): TState {
    return this.cpu.tStates
  }

  get steps(): number {
    return this.cpu.steps
  }

  /** All 65,536 bytes. Writing here is what a programmer with a probe does: it is not checked, ROM included. */
  get memory(): Uint8Array {
    return this.cpu.memory
  }

  get events(): EventLog {
    return this.#log
  }

  registers(): Registers {
    return this.cpu.registers()
  }

  setRegisters(some: Partial<Registers>): void {
    this.cpu.setRegisters(some)
  }

  /** Off and on again: RAM is lost to `fill`, time starts at 0, breakpoints stay. */
  powerOn(fill: Fill): void {
    this.board.powerOn()
    this.#log = new EventLog()
    this.#taken = 0
    this.board.log = this.#log
    powerOn(this.memory, this.profile, filler(fill))
    this.cpu.restore(atPowerOn)
    this.markMemory()
  }

  /** The reset button: the CPU starts at 0 and the outputs go dark; RAM, keys, switches and time stay. */
  reset(): void {
    this.cpu.reset()
    this.board.reset()
    this.#appendLatches()
  }

  load(image: Image): void {
    for (const { start, bytes } of image.segments) this.memory.set(bytes.subarray(0, 0x10000 - start), start)
  }

  /** Hold a key down. A name that no key has does nothing. */
  press(key: string): void {
    this.board.keypad.set(key, true, this.tStates)
    this.board.catchUp(this.tStates)
  }

  release(key: string): void {
    this.board.keypad.set(key, false, this.tStates)
    this.board.catchUp(this.tStates)
  }

  keysDown(): readonly string[] {
    return this.board.keypad.down()
  }

  /** Move the switches; as on their port. */
  setSwitches(byte: Byte): void {
    this.board.catchUp(this.tStates)
    this.board.switches.move(byte, this.tStates, this.board.log)
  }

  /** All that comes from outside in a run, at the machine's T-state 0. */
  schedule({ keys, switches, switchMoves, isTimerOn, timerPhase }: InputsOfRun): void {
    this.board.keypad.schedule(keys)
    this.board.switches.put(switches)
    this.board.switches.schedule(switchMoves ?? [])
    this.setTimer(isTimerOn, timerPhase)
  }

  /** `phase`: by how many T-states its ticks come before whole multiples of its period; as before unless given. */
  setTimer(isOn: boolean, phase?: TState): void {
    this.board.setTimer(isOn, this.tStates, phase)
  }

  /** `runUntil` stops before it executes an instruction at one of these. */
  setBreakpoints(addresses: readonly Addr[]): void {
    this.#breakpoints = [...addresses]
    this.markMemory()
  }

  /**
   * Run until T-state `limit` or a breakpoint, whichever comes first; a breakpoint where it stands already is passed. A
   * halted CPU lets the time go by (`registers().isHalted` tells).
   */
  runUntil(limit: TState): 'limit' | 'breakpoint' {
    if (this.tStates >= limit) return 'limit'
    if (this.#isMarked(this.cpu.registers().pc)) this.step()
    this.advance(limit, false)
    this.board.catchUp(this.tStates)
    // At the limit too: the next call would take it for one that has been seen.
    return this.#isMarked(this.cpu.instructionAddress) && this.isNextAnInstruction() ? 'breakpoint' : 'limit'
  }

  /** Whether the next step is the instruction at PC: not the acceptance of an interrupt, not waiting in HALT. */
  isNextAnInstruction(): boolean {
    const { registers, ...now } = this.cpu.save()
    if (now.isAfterPrefix) return false
    const mayInterrupt = now.isInterruptLineActive && registers.iff1 && !now.isAfterEi
    return !registers.isHalted && !now.isNmiPending && !mayInterrupt
  }

  /** Execute one instruction or accept one interrupt. Returns its T-states. */
  step(): number {
    this.board.tickUpTo(this.tStates)
    const taken = this.cpu.step()
    this.board.tickUpTo(this.tStates)
    return taken
  }

  /**
   * Run until T-state `limit` or a marked byte. With `stopOnHalt` a HALT that nothing can end stops too; one that waits
   * for the timer goes on. Many short calls do what one long call does.
   */
  advance(limit: TState, stopOnHalt: boolean): CpuStop {
    const { cpu, board } = this
    board.tickUpTo(cpu.tStates)
    while (cpu.tStates < limit) {
      const [steps, events] = [cpu.steps, board.log?.length ?? 0]
      let stop = cpu.run(Math.min(limit, board.nextTick, cpu.tStates + longestPiece), stopOnHalt)
      board.tickUpTo(cpu.tStates)
      this.#count(steps, events)
      if (stop === 'halted' && this.canWake()) stop = this.#waitInHalt(limit)
      if (stop === 'stop-at' || stop === 'requested' || stop === 'halted') return stop
    }
    return 'limit'
  }

  /** Execute `count` steps, or fewer where a marked byte stops them or the time is up. */
  advanceSteps(count: number, limit: TState = Infinity): CpuStop {
    const { cpu, board } = this
    const until = cpu.steps + count
    for (;;) {
      board.tickUpTo(cpu.tStates)
      if (cpu.steps >= until) return 'steps'
      if (cpu.tStates >= limit) return 'limit'
      const steps = cpu.steps
      const stop = cpu.runSteps(Math.min(until - steps, longestPiece), Math.min(limit, board.nextTick), false)
      this.#count(steps, board.log?.length ?? 0)
      if (stop === 'stop-at' || stop === 'requested') {
        board.tickUpTo(cpu.tStates)
        return stop
      }
    }
  }

  /** Whether a halted CPU would go on: by a request that waits, or at the timer's next tick. */
  canWake(): boolean {
    const { isTimerOn, isInterruptWaiting } = this.board
    return (isTimerOn || isInterruptWaiting) && this.cpu.registers().iff1
  }

  /**
   * Lets the time go by in a HALT that an interrupt can end, and accepts that interrupt; not one instruction more, since
   * whether the next HALT can be ended is another question.
   */
  #waitInHalt(limit: TState): CpuStop {
    const { cpu, board } = this
    if (!board.isInterruptWaiting) {
      const stop = cpu.run(Math.min(limit, board.nextTick), false)
      board.tickUpTo(cpu.tStates)
      if (stop !== 'limit') return stop
    }
    if (cpu.tStates >= limit) return 'limit'
    const stop = cpu.runSteps(1, limit, false)
    board.tickUpTo(cpu.tStates)
    return stop
  }

  /** Events since the last call. */
  takeEvents(): EventLog {
    const fresh = this.#log.copyFrom(this.#taken)
    this.#taken = this.#log.length
    return fresh
  }

  /** Forget what happened more than `tStates` ago, so that a machine can run for hours. */
  forgetOlderThan(tStates: TState): void {
    this.#taken = Math.max(0, this.#taken - this.#log.forgetBefore(this.tStates - tStates))
  }

  /** What an eye sees now, one entry for each digit from the left. */
  digitsNow(): readonly DigitSpan[] {
    const now = this.tStates
    return digitTimeline(this.#log, this.profile, Math.max(0, now - 1), Math.max(1, now))
  }

  saveState(): MachineState {
    return {
      cpu: this.cpu.save(),
      eventsNow: this.#log.length - this.#log.firstFrom(this.tStates),
      ram: ramPages(this.profile).map((page) => ({ page, bytes: this.page(page) })),
      board: this.board.save(),
    }
  }

  /** A copy of the 256 bytes of a page. */
  page(number: number): Uint8Array {
    return this.memory.slice(number << 8, (number + 1) << 8)
  }

  /** Back to a saved state. Events that came after it are forgotten. */
  restoreState(state: MachineState): void {
    this.putBack(state)
    this.#log.truncate(this.#log.firstFrom(state.cpu.tStates) + state.eventsNow)
    this.#taken = Math.min(this.#taken, this.#log.length)
  }

  /** The same without a word to the log: for executing again what the log holds already. */
  putBack(state: MachineState): void {
    for (const { page, bytes } of state.ram) this.memory.set(bytes, page << 8)
    this.board.restore(state.board)
    this.cpu.restore(state.cpu)
  }

  /** Mark what is no RAM as read-only and watched, and the breakpoints; every other mark goes. */
  markMemory(): void {
    const { attributes } = this.cpu
    attributes.set(markPatterns(this.profile).plain)
    for (const address of this.#breakpoints) attributes[address] = (attributes[address] ?? 0) | attribute.stopAt
  }

  #count(steps: number, events: number): void {
    const made = (this.board.log?.length ?? 0) - events
    countWork(this.cpu.steps - steps + workOfEvent * Math.max(0, made))
  }

  #isMarked(address: Addr): boolean {
    return ((this.cpu.attributes[address] ?? 0) & attribute.stopAt) !== 0
  }

  /** Reset darkens the outputs without a port write; the log is told as if one had been made. */
  #appendLatches(): void {
    const { display, speaker } = this.profile
    const { segments, select } = this.board.save()
    const t = this.tStates
    this.#log.push({ kind: 'port-write', t, pc: 0, port: display.segmentPort, value: segments })
    this.#log.push({ kind: 'port-write', t, pc: 0, port: display.selectPort, value: select })
    this.#log.push({ kind: 'port-write', t, pc: 0, port: speaker.port, value: 0 })
  }
}

// AF and SP read FFFFh after power-on (reference z80-timing-other.csv); what the others hold is chance, here 0.
const atPowerOn: CpuState = {
  registers: {
    ...{ af: 0xffff, bc: 0, de: 0, hl: 0, af_: 0, bc_: 0, de_: 0, hl_: 0, ix: 0, iy: 0, sp: 0xffff, pc: 0 },
    ...{ i: 0, r: 0, wz: 0, q: 0, im: 0, iff1: false, iff2: false, isHalted: false },
  },
  ...{ tStates: 0, steps: 0, isAfterEi: false, isAfterPrefix: false, isAfterInterruptFlag: false },
  ...{ isInterruptLineActive: false, isNmiPending: false },
}
