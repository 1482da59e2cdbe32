import type { BoardProfile } from '../board/index.ts'
import { attribute } from '../cpu/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import { Machine, type MachineState } from './machine.ts'
import type { Fill } from './request.ts'
import { runToStop, type Stop } from './stops.ts'

/** Something done to a machine from outside, between two instructions. */
export type Input =
  | { readonly kind: 'key'; readonly key: string; readonly isDown: boolean }
  | { readonly kind: 'switches'; readonly value: Byte }
  | { readonly kind: 'timer'; readonly isOn: boolean }
  | { readonly kind: 'registers'; readonly set: Partial<Registers> }
  /** Straight into RAM, as a loader does; other places stay what they are. */
  | { readonly kind: 'bytes'; readonly at: Addr; readonly bytes: readonly Byte[] }
  | { readonly kind: 'reset' }
  /** Off and on again: RAM is lost to `fill`, the machine's own time and steps start at 0. */
  | { readonly kind: 'power-on'; readonly fill: Fill }

/** An input and when it came, in T-states of the tape. */
export interface TapedInput {
  readonly t: TState
  readonly input: Input
}

/** A moment of the tape: its steps and T-states count on when the power goes off and on. */
interface Moment {
  readonly step: number
  readonly t: TState
}

/** A moment to run again from: what the machine was, and what had been put in by then. */
interface Mark extends Moment {
  readonly state: MachineState
  /** The last power-on. */
  readonly base: Moment
  readonly inputs: number
}

/** T-states between two marks at first: half a second of a board at 2.5 MHz, a millisecond to run again. */
const markEvery = 1_250_000
/** With more, every second one goes and new ones stand twice as far apart: nothing is ever forgotten. */
const mostMarks = 1_000
/** Before a moment that is gone to, in seconds: what an eye adds up (`digitsNow`) must have been logged. */
const eyeNeeds = 1.2

/**
 * A machine on the bench whose whole past can be gone back to. Everything done to it goes through `put`; it is kept with
 * its time, so that what happened between two marks can be run again. Steps and T-states of the tape count on over
 * power-offs. Going back forgets nothing; putting something in at an earlier moment forgets what came after it.
 */
export class Tape {
  readonly machine: Machine
  /** What RAM held when the power first went on. */
  readonly fill: Fill
  readonly #inputs: TapedInput[] = []
  /** Inputs that are applied already at the present moment. */
  #applied = 0
  #marks: Mark[] = []
  #markEvery = markEvery
  /** The last power-on before the present moment. */
  #base: Moment = { step: 0, t: 0 }
  #end: Moment = { step: 0, t: 0 }
  #stops: readonly Stop[] = []

  /** Powered on with RAM full of `fill`, about to execute the firmware at 0. */
  constructor(profile: BoardProfile, fill: Fill = { byte: 0 }) {
    this.machine = new Machine(profile, fill)
    this.fill = fill
    this.#mark()
  }

  /** Plays again what was done to a machine, up to T-state `until`. Inputs must be in the order of their times. */
  static play(profile: BoardProfile, fill: Fill, inputs: readonly TapedInput[], until: TState): Tape {
    const tape = new Tape(profile, fill)
    for (const { t, input } of inputs) {
      tape.run(t)
      tape.put(input)
    }
    tape.run(until)
    return tape
  }

  /** The present moment. */
  get step(): number {
    return this.#base.step + this.machine.steps
  }

  get t(): TState {
    return this.#base.t + this.machine.tStates
  }

  /** How far the tape goes: the latest moment that was reached. */
  get length(): { readonly steps: number; readonly tStates: TState } {
    return { steps: this.#end.step, tStates: this.#end.t }
  }

  get isAtEnd(): boolean {
    return this.step === this.#end.step
  }

  /** All that was put in, in order, what lies ahead of the present moment too. */
  get inputs(): readonly TapedInput[] {
    return this.#inputs
  }

  /** `time` stops are in T-states of the tape. */
  setStops(stops: readonly Stop[]): void {
    this.#stops = [...stops]
  }

  /** Do something to the machine now. What lay ahead of this moment is forgotten. */
  put(input: Input): void {
    this.forgetAhead()
    this.#inputs.push({ t: this.t, input })
    this.#applyDue()
  }

  /** Cut the tape here. */
  forgetAhead(): void {
    this.#inputs.length = this.#applied
    this.#end = { step: this.step, t: this.t }
    const later = this.#marks.findIndex((mark) => mark.step > this.step)
    if (later >= 0) this.#marks.length = later
  }

  /**
   * Run until T-state `until` of the tape or the first of the stops, and tell which; null at the limit. Over a part that
   * was recorded its inputs come again at their times.
   */
  run(until: TState): Stop | null {
    while (this.t < until) {
      const limit = Math.min(until, this.#nextEvent())
      const shifted = this.#stops.map((stop) => (stop.kind === 'time' ? { ...stop, t: stop.t - this.#base.t } : stop))
      const stop = runToStop(this.machine, limit - this.#base.t, shifted)
      this.#arrive()
      if (stop !== null) return this.#stops[shifted.indexOf(stop)] ?? null
    }
    return null
  }

  /** One instruction on, or one interrupt accepted. */
  stepOn(): void {
    this.machine.step()
    this.machine.board.catchUp(this.machine.tStates)
    this.#arrive()
  }

  /** One step back; nothing happens at the start. */
  stepBack(): void {
    this.goTo(this.step - 1)
  }

  /** To the moment `step` of the tape, clamped to it, with everything that was put in at that moment. */
  goTo(step: number): void {
    const target = Math.max(0, Math.min(this.#end.step, Math.floor(step)))
    this.#rewind((mark) => mark.step <= target, this.step <= target)
    this.#follow(target, Infinity)
    this.machine.takeEvents()
  }

  /** To the step that is being executed at T-state `t` of the tape; clamped to it. */
  goToTime(t: TState): void {
    const target = Math.max(0, Math.min(this.#end.t, t))
    this.#rewind((mark) => mark.t <= target, this.t <= target)
    this.#follow(this.#end.step, target + 1)
    this.goTo(this.t > target ? this.step - 1 : this.step)
  }

  /** Back to the last moment before this one at which one of the stops holds; null, and no move, where there is none. */
  runBack(): Stop | null {
    const here = { step: this.step, t: this.t }
    for (let k = this.#marks.length - 1; k >= 0; k--) {
      const mark = this.#marks[k]
      if (mark === undefined || mark.step >= here.step) continue
      // Past the next mark by a T-state, so that a stop in that very moment is seen.
      const until = Math.min(here.t, (this.#marks[k + 1]?.t ?? Infinity) + 1)
      const last = this.#lastStop(mark, until, here.step)
      if (last === null) continue
      this.goTo(last.step)
      return last.stop
    }
    this.goTo(here.step)
    return null
  }

  #lastStop(mark: Mark, until: TState, before: number): { readonly step: number; readonly stop: Stop } | null {
    this.#restore(mark)
    const pc = this.machine.isNextAnInstruction() ? this.machine.cpu.instructionAddress : null
    const first = this.#stops.find((stop) => stop.kind === 'address' && stop.address === pc)
    let last = first === undefined ? null : { step: this.step, stop: first }
    for (;;) {
      const stop = this.run(until)
      if (stop === null || this.step >= before) return last
      last = { step: this.step, stop }
    }
  }

  /** Goes to where re-running to a moment must begin; stays where that is on the way and recent enough. */
  #rewind(isBefore: (mark: Mark) => boolean, isAhead: boolean): void {
    const nearest = this.#marks.findLast(isBefore)
    const wanted = (nearest?.t ?? 0) - eyeNeeds * this.machine.profile.clockHz
    const mark = this.#marks.findLast(({ t }) => t <= wanted) ?? this.#marks[0]
    if (mark === undefined) throw new Error('a tape has a mark at its start')
    if (!isAhead || mark.step > this.step) this.#restore(mark)
  }

  #restore(mark: Mark): void {
    // The log of another time since power-on is no past of this one.
    if (mark.base.step !== this.#base.step) this.machine.powerOn({ byte: 0 })
    this.machine.restoreState(mark.state)
    this.#base = mark.base
    this.#applied = mark.inputs
    this.#applyDue()
  }

  /** Runs on without stops, to a step or to the first that does not begin before a time. */
  #follow(step: number, until: TState): void {
    while (this.step < step && this.t < until) {
      const limit = Math.min(until, this.#nextEvent()) - this.#base.t
      this.machine.advanceSteps(step - this.step, limit)
      this.#arrive()
    }
    this.machine.board.catchUp(this.machine.tStates)
  }

  /** When the tape must be looked at next: for an input, or to make a mark. */
  #nextEvent(): TState {
    return Math.min(this.#inputs[this.#applied]?.t ?? Infinity, this.#nextMark)
  }

  /** Called at each moment that is come to. */
  #arrive(): void {
    if (this.t >= this.#nextMark) this.#mark()
    if (this.step > this.#end.step) this.#end = { step: this.step, t: this.t }
    this.#applyDue()
  }

  #applyDue(): void {
    for (;;) {
      const due = this.#inputs[this.#applied]
      if (due === undefined || due.t > this.t) return
      this.#applied += 1
      this.#apply(due.input)
    }
  }

  #apply(input: Input): void {
    const { machine } = this
    switch (input.kind) {
      case 'key':
        if (input.isDown) machine.press(input.key)
        else machine.release(input.key)
        return
      case 'switches':
        machine.setSwitches(input.value)
        return
      case 'timer':
        machine.setTimer(input.isOn)
        return
      case 'registers':
        machine.setRegisters(input.set)
        return
      case 'bytes':
        input.bytes.forEach((byte, i) => this.#poke((input.at + i) & 0xffff, byte))
        return
      case 'reset':
        machine.reset()
        return
      case 'power-on':
        this.#base = { step: this.step, t: this.t }
        machine.powerOn(input.fill)
    }
  }

  #poke(address: Addr, byte: Byte): void {
    const { memory, attributes } = this.machine.cpu
    if (((attributes[address] ?? 0) & attribute.readOnly) === 0) memory[address] = byte
  }

  get #nextMark(): TState {
    return (this.#marks.at(-1)?.t ?? -Infinity) + this.#markEvery
  }

  #mark(): void {
    const state = this.machine.saveState()
    const before = this.#marks.at(-1)?.state.ram
    // Pages that are as they were are kept once.
    const ram = state.ram.map((page, k) => {
      const old = before?.[k]
      return old?.page === page.page && old.bytes.every((byte, i) => byte === page.bytes[i]) ? old : page
    })
    const { step, t } = this
    this.#marks.push({ step, t, state: { ...state, ram }, base: this.#base, inputs: this.#applied })
    if (this.#marks.length <= mostMarks) return
    this.#marks = this.#marks.filter((_, k) => k % 2 === 0)
    this.#markEvery *= 2
  }
}
