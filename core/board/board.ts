import type { Addr, Bus, Byte, TState } from '../cpu/index.ts'
import { eventCode, type EventLog } from './event-log.ts'
import { Keypad, type KeypadState } from './keypad.ts'
import type { BoardProfile } from './profile.ts'
import { Switches, type SwitchesState } from './switches.ts'
import { wiringOf, type Wiring } from './wiring.ts'

/** So many segments of the display that go on or off are one event more. */
const segmentsAnEvent = 4
/** A change that can be seen or heard is so many events more: each check that looks at it goes over it again. */
const changeWeight = 3

/** Everything on the board beside CPU and memory that decides what happens next. */
export interface BoardState {
  readonly segments: Byte
  readonly select: Byte
  readonly speaker: 0 | 1
  readonly lamps: Byte
  readonly switches: SwitchesState
  readonly isTimerOn: boolean
  /** Number of the timer's next tick; tick n comes at n · clock / hz, earlier by the phase. */
  readonly tick: number
  readonly timerPhase: TState
  readonly isInterruptWaiting: boolean
  readonly keypad: KeypadState
}

/**
 * The board around the CPU: what its ports do. Ports are told apart by the low eight lines of the address; a port that
 * nothing drives reads as FFh. Each thing that can be observed goes to `log` at its T-state; without a log it is silent.
 */
export class Board implements Bus {
  readonly profile: BoardProfile
  log: EventLog | null = null
  /** Told before each write to a byte whose attribute asks for it. */
  onWrite: ((address: Addr, value: Byte, t: TState, pc: Addr) => void) | null = null
  /** Told of each port that is read or written, when it has been. */
  onPort: ((isWrite: boolean, port: Byte, value: Byte, t: TState) => void) | null = null
  /** Moves the CPU's INT pin. */
  setLine: (isActive: boolean) => void = () => {}
  /** Address of the instruction that is being executed. */
  instructionAddress: () => Addr = () => 0
  /** T-state of the last acknowledge; what is pushed right after it is the return address. */
  acknowledgedAt: TState = -Infinity
  readonly keypad: Keypad
  readonly switches = new Switches()
  readonly #wiring: Wiring
  readonly #switchMask: number
  #segments: Byte
  #select: Byte
  #speaker: 0 | 1 = 0
  #lamps: Byte = 0
  #isTimerOn: boolean
  #tick = 1
  #timerPhase: TState = 0
  #isInterruptWaiting = false

  constructor(profile: BoardProfile) {
    this.profile = profile
    this.keypad = new Keypad(profile)
    this.#wiring = wiringOf(profile)
    this.#switchMask = (profile.switches?.bits ?? []).reduce((sum, bit) => sum | (1 << bit), 0)
    this.#segments = this.#wiring.idleSegments
    this.#select = this.#wiring.idleSelect
    this.#isTimerOn = profile.timer?.startsOn ?? false
  }

  /** As after a power cut: nothing pressed, switches off, the timer at the start of its period. */
  powerOn(): void {
    this.reset()
    this.keypad.restore({ closed: this.profile.keypad.keys.map(() => 0), changes: [] })
    this.switches.restore({ value: 0, moves: [] })
    this.#isTimerOn = this.profile.timer?.startsOn ?? false
    this.#tick = 1
    this.#timerPhase = 0
    this.acknowledgedAt = -Infinity
    this.onWrite = null
    this.onPort = null
  }

  /** Clears the output latches and a waiting interrupt. Switches, keys and the timer's phase stay. */
  reset(): void {
    this.#segments = this.#wiring.idleSegments
    this.#select = this.#wiring.idleSelect
    this.#speaker = 0
    this.#lamps = 0
    this.#isInterruptWaiting = false
    this.setLine(false)
  }

  /** The lamps as last written, bit by bit as on their port. */
  get lamps(): Byte {
    return this.#lamps
  }

  get isTimerOn(): boolean {
    return this.#isTimerOn
  }

  /** A tick has asked for an interrupt that is not accepted yet. */
  get isInterruptWaiting(): boolean {
    return this.#isInterruptWaiting
  }

  /** T-state of the timer's next tick; Infinity while it is off. */
  get nextTick(): TState {
    const { timer, clockHz } = this.profile
    if (timer === null || !this.#isTimerOn) return Infinity
    return Math.round((this.#tick * clockHz) / timer.hz) - this.#timerPhase
  }

  /** The timer keeps its phase: it ticks at whole multiples of its period since power-on, `phase` T-states before each. */
  setTimer(isOn: boolean, t: TState, phase = this.#timerPhase): void {
    this.#isTimerOn = isOn && this.profile.timer !== null
    this.#timerPhase = phase
    const hz = this.profile.timer?.hz ?? 1
    this.#tick = Math.floor(((t + phase) * hz) / this.profile.clockHz) + 1
  }

  /** Let every tick up to and including `t` happen: each asks for an interrupt, or is lost when one still waits. */
  tickUpTo(t: TState): void {
    for (let at = this.nextTick; at <= t; at = this.nextTick) {
      this.#tick += 1
      if (this.#isInterruptWaiting) {
        this.catchUp(at)
        this.log?.insert(eventCode.interruptLost, at, 0, 0, 0)
      }
      this.#isInterruptWaiting = true
      this.setLine(true)
    }
  }

  readPort(port: number, t: TState): Byte {
    const pc = this.instructionAddress()
    this.catchUp(t)
    const low = port & 0xff
    const { keypad, switches } = this.profile
    const isRows = low === keypad.rowPort
    let value = isRows ? this.keypad.rows(this.#wiring.selected[this.#select] ?? 0) : 0xff
    if (switches !== null && low === switches.port) {
      value = (isRows ? value & ~this.#switchMask : 0) | (this.switches.value & this.#switchMask)
    }
    this.#append(eventCode.portRead, t, pc, low, value)
    this.onPort?.(false, low, value, t)
    return value
  }

  writePort(port: number, value: Byte, t: TState): void {
    const pc = this.instructionAddress()
    const low = port & 0xff
    const { display, speaker, lamps } = this.profile
    this.#append(eventCode.portWrite, t, pc, low, value)
    if (low === display.segmentPort || low === display.selectPort) this.#latch(low, value)
    if (lamps !== null && low === lamps.port) this.#lamps = value
    if (low === speaker.port) {
      const level = (value & this.#wiring.speakerMask) === 0 ? 0 : 1
      if (level !== this.#speaker) {
        this.#append(eventCode.speakerEdge, t, pc, 0, level)
        this.log?.addWeight(changeWeight)
      }
      this.#speaker = level
    }
    this.onPort?.(true, low, value, t)
  }

  acknowledge(t: TState): Byte {
    this.#isInterruptWaiting = false
    this.setLine(false)
    this.acknowledgedAt = t
    this.#append(eventCode.interrupt, t, this.instructionAddress(), 0, 0)
    // Nothing drives the data bus: RST 38h in mode 0, the last entry of the table in mode 2.
    return 0xff
  }

  watchedWrite(address: Addr, value: Byte, t: TState, pc: Addr): void {
    this.onWrite?.(address, value, t, pc)
  }

  /** A write to memory that somebody wants among the events. */
  logWrite(address: Addr, value: Byte, t: TState, pc: Addr): void {
    this.#append(eventCode.memoryWrite, t, pc, address, value)
  }

  /** T-state at which a key or a switch moves next; Infinity when nothing is to come. */
  get nextInput(): TState {
    return Math.min(this.keypad.nextChange, this.switches.nextChange)
  }

  /** Everything that is still to be told up to `t` goes to the log: keys and switches that moved while nobody looked. */
  catchUp(t: TState): void {
    for (let next = this.nextInput; next <= t; next = this.nextInput) {
      this.keypad.catchUp(next, this.log)
      this.switches.catchUp(next, this.log)
    }
  }

  save(): BoardState {
    return {
      segments: this.#segments,
      select: this.#select,
      speaker: this.#speaker,
      lamps: this.#lamps,
      switches: this.switches.save(),
      isTimerOn: this.#isTimerOn,
      tick: this.#tick,
      timerPhase: this.#timerPhase,
      isInterruptWaiting: this.#isInterruptWaiting,
      keypad: this.keypad.save(),
    }
  }

  restore(state: BoardState): void {
    this.#segments = state.segments
    this.#select = state.select
    this.#speaker = state.speaker
    this.#lamps = state.lamps
    this.switches.restore(state.switches)
    this.#isTimerOn = state.isTimerOn
    this.#tick = state.tick
    this.#timerPhase = state.timerPhase
    this.#isInterruptWaiting = state.isInterruptWaiting
    this.acknowledgedAt = -Infinity
    this.keypad.restore(state.keypad)
    this.setLine(state.isInterruptWaiting)
  }

  /** A number for each state of the outputs, and whether an interrupt waits: equal numbers behave the same. */
  outputs(): number {
    const waiting = this.#isInterruptWaiting ? 2 : 0
    return ((this.#segments * 256 + this.#select) * 256 + this.#lamps) * 4 + waiting + this.#speaker
  }

  /** Takes a byte into the latches of the display. What switches many segments at once is long to look at, and weighs so. */
  #latch(port: Byte, value: Byte): void {
    const { segmentPort, selectPort } = this.profile.display
    const { segments, selected } = this.#wiring
    const [litBefore, selectedBefore] = [segments[this.#segments] ?? 0, selected[this.#select] ?? 0]
    if (port === segmentPort) this.#segments = value
    if (port === selectPort) this.#select = value
    const [lit, nowSelected] = [segments[this.#segments] ?? 0, selected[this.#select] ?? 0]
    const switched =
      countOnes(litBefore ^ lit) * countOnes(selectedBefore) + countOnes(lit) * countOnes(selectedBefore ^ nowSelected)
    if (switched > 0) this.log?.addWeight(changeWeight + Math.floor(switched / segmentsAnEvent))
  }

  #append(code: number, t: TState, pc: Addr, where: Addr, value: Byte): void {
    if (this.log === null) return
    if (this.nextInput <= t) this.catchUp(t)
    this.log.append(code, t, pc, where, value)
  }
}

const ones = Uint8Array.from({ length: 256 }, (_, byte) => byte.toString(2).replaceAll('0', '').length)

function countOnes(byte: Byte): number {
  return ones[byte] ?? 0
}
