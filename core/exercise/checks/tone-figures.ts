import { lengthNear, pitchNear, silenceBetween, silenceNear, type Note } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import { distanceOf, toleranceText, tStatesOf, type Amount } from '../schema/index.ts'
import { figureText, timeText } from '../words.ts'
import { longestInOrder } from './in-order.ts'
import type { Parts } from './check.ts'
import type { WantedTones } from './tone-fields.ts'

/** What is wrong with a tone: a sentence, where it shows, and how far off was allowed. */
export interface ToneFault {
  readonly message: string
  readonly at: Moment
  readonly tolerance: string | null
}

/** The tones of a run beside those wanted. */
export class Tones {
  readonly #check: WantedTones
  readonly #run: CaseRun
  readonly #notes: readonly Note[]

  constructor(check: WantedTones, run: CaseRun, notes: readonly Note[]) {
    this.#check = check
    this.#run = run
    this.#notes = notes
  }

  /** What is wrong with the tone in place `i`, from 0; null when it is right, or there is none. */
  faultAt(i: number): ToneFault | null {
    return this.#fault(i, i, i > 0, this.#hasStart(i, i))
  }

  /**
   * How many tones are right, those heard held against those wanted in their order: one left out, or one too many, costs
   * one and not all behind it. What a tone is measured by from the one before it, silence, beginning and order, is held
   * against it where that is the one wanted there.
   */
  parts(): Parts {
    const [wanted, found] = [this.#check.frequencies.length, this.#notes.length]
    const isRight = (i: number, j: number): boolean => {
      const isNeighbour = i > 0 && j > 0 && this.#hasPitch(i - 1, j - 1)
      const isInTime = this.#hasStart(i, j) || (isNeighbour ? this.#hasDistance(i, j) : i !== j)
      return this.#fault(i, j, isNeighbour, isInTime) === null
    }
    const of = this.#check.rest === 'none' ? Math.max(wanted, found) : wanted
    return { right: longestInOrder(wanted, found, isRight), of, before: 0 }
  }

  #fault(i: number, j: number, isNeighbour: boolean, isInTime: boolean): ToneFault | null {
    return (
      this.#pitchFault(i, j) ??
      (isNeighbour ? this.#orderFault(i, j) : null) ??
      (isInTime ? null : this.#startFault(i, j)) ??
      (isNeighbour ? this.#silenceFault(i, j) : null) ??
      this.#lengthFault(i, j)
    )
  }

  #hasPitch(i: number, j: number): boolean {
    const [note, hz] = [this.#notes[j], this.#check.frequencies[i]]
    if (note === undefined || hz === undefined) return false
    // Figures are quotients; a billionth part is the noise of dividing.
    return Math.abs(pitchNear(note, hz) - hz) <= this.#distance(this.#check.frequencyWithin, hz) + hz * 1e-9
  }

  #pitchFault(i: number, j: number): ToneFault | null {
    const [note, hz] = [this.#notes[j], this.#check.frequencies[i]]
    if (note === undefined || hz === undefined || this.#hasPitch(i, j)) return null
    const within = toleranceText(this.#check.frequencyWithin)
    const found = `${this.#name(i)} has ${figureText(pitchNear(note, hz))} Hz`
    return this.#saying(`${found}; wanted ${figureText(hz)} Hz ${within}.`, note.from, within)
  }

  #orderFault(i: number, j: number): ToneFault | null {
    const { order, frequencies } = this.#check
    const [note, before] = [this.#notes[j], this.#notes[j - 1]]
    if (order === 'any' || note === undefined || before === undefined) return null
    const hz = pitchNear(note, frequencies[i] ?? 0)
    const last = pitchNear(before, frequencies[i - 1] ?? frequencies[i] ?? 0)
    if (order === 'rising' ? hz > last : hz < last) return null
    const aim = order === 'rising' ? 'higher' : 'lower'
    const found = `${this.#name(i)} has ${figureText(hz, 2)} Hz after ${figureText(last, 2)} Hz`
    return this.#saying(`${found}; wanted it ${aim}.`, note.from, null)
  }

  #hasStart(i: number, j: number): boolean {
    const wanted = this.#start(i)
    const note = this.#notes[j]
    if (wanted === null || note === undefined) return true
    return Math.abs(note.from - wanted) <= this.#distance(this.#check.startsWithin, wanted)
  }

  /** Whether it begins as long after the tone before it as it should. */
  #hasDistance(i: number, j: number): boolean {
    const wanted = (this.#start(i) ?? 0) - (this.#start(i - 1) ?? 0)
    const found = (this.#notes[j]?.from ?? 0) - (this.#notes[j - 1]?.from ?? 0)
    return Math.abs(found - wanted) <= this.#distance(this.#check.startsWithin, wanted)
  }

  #start(i: number): TState | null {
    const start = this.#check.starts?.[i]
    return start === undefined ? null : this.#tStates(start)
  }

  #startFault(i: number, j: number): ToneFault | null {
    const note = this.#notes[j]
    if (note === undefined) return null
    const aim = { wanted: this.#start(i) ?? 0, within: this.#check.startsWithin }
    return this.#off(`${this.#name(i)} begins at`, note.from, aim, note.from)
  }

  #silenceFault(i: number, j: number): ToneFault | null {
    const { pauses, pausesWithin, maxGap } = this.#check
    const { profile } = this.#run
    const [note, before] = [this.#notes[j], this.#notes[j - 1]]
    if (note === undefined || before === undefined) return null
    const name = `The silence before tone ${i + 1} lasts`
    const pause = pauses?.[i - 1] ?? 'any'
    if (pause !== 'any') {
      const aim = { wanted: this.#tStates(pause), within: pausesWithin }
      const found = silenceNear(before, note, aim.wanted, profile)
      return this.#isNear(found, aim) ? null : this.#off(name, found, aim, note.from)
    }
    if (maxGap === null) return null
    const most = this.#tStates(maxGap)
    const gap = silenceBetween(before, note, profile)
    if (gap <= most) return null
    return this.#saying(`${name} ${this.#time(gap)}; wanted at most ${this.#time(most)}.`, note.from, null)
  }

  #lengthFault(i: number, j: number): ToneFault | null {
    const { each, eachWithin, lengths, lengthsWithin } = this.#check
    const note = this.#notes[j]
    const own = lengths?.[i] ?? 'any'
    const length = own === 'any' ? each : own
    if (note === undefined || length === null) return null
    const aim = { wanted: this.#tStates(length), within: own === 'any' ? eachWithin : lengthsWithin }
    const found = lengthNear(note, this.#notes[j + 1] ?? null, aim.wanted, this.#run.profile)
    return this.#isNear(found, aim) ? null : this.#off(`${this.#name(i)} lasts`, found, aim, note.to)
  }

  #isNear(found: TState, { wanted, within }: Aim): boolean {
    return Math.abs(found - wanted) <= this.#distance(within, wanted)
  }

  #off(name: string, found: TState, { wanted, within }: Aim, t: TState): ToneFault {
    const tolerance = toleranceText(within)
    return this.#saying(`${name} ${this.#time(found)}; wanted ${this.#time(wanted)} ${tolerance}.`, t, tolerance)
  }

  /** Decided by the instruction that moved the cone at `t`. */
  #saying(message: string, t: TState, tolerance: string | null): ToneFault {
    return { message, at: edgeAt(this.#run, t), tolerance }
  }

  #name(i: number): string {
    return `Tone ${i + 1} of ${this.#check.frequencies.length}`
  }

  #time(tStates: TState): string {
    return timeText(tStates, this.#run.profile.clockHz)
  }

  #tStates(time: Amount): TState {
    return tStatesOf(time, this.#run.profile.clockHz)
  }

  #distance(within: Amount, wanted: number): number {
    return distanceOf(within, wanted, this.#run.profile.clockHz)
  }
}

interface Aim {
  readonly wanted: TState
  readonly within: Amount
}

/** The instruction that moved the cone at `t`. */
export function edgeAt(run: CaseRun, t: TState): Moment {
  for (const event of run.result.events.between(t, t + 1)) {
    if (event.kind === 'speaker-edge') return { t, address: event.pc, step: null }
  }
  return endOf(run)
}
