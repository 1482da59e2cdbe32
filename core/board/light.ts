import type { Byte, TState } from '../cpu/index.ts'
import { eventCode, type EventLog } from './event-log.ts'
import type { BoardProfile } from './profile.ts'
import { wiringOf } from './wiring.ts'
import { countWork } from './work.ts'

/** What it takes to find whether an event switches a light. */
const workOfEvent = 12

/** What the two ports of the display hold. */
export interface Latches {
  segments: Byte
  select: Byte
}

/**
 * When one digit was lit and with what: phase k lasts from `start[k]` to `end[k]` with the segments `pattern[k]`, never 0.
 * Phases with the same `visit[k]` belong to one stretch in which the digit stayed selected.
 */
export interface Light {
  readonly start: number[]
  readonly end: number[]
  readonly pattern: number[]
  readonly visit: number[]
}

/** The latches just before event `index`: from the last writes to them, else as after power-on. */
export function latchesBefore(log: EventLog, profile: BoardProfile, index: number): Latches {
  const { segmentPort, selectPort } = profile.display
  const wiring = wiringOf(profile)
  return {
    segments: lastWrite(log, segmentPort, index) ?? wiring.idleSegments,
    select: lastWrite(log, selectPort, index) ?? wiring.idleSelect,
  }
}

function lastWrite(log: EventLog, port: Byte, before: number): Byte | null {
  for (let i = before - 1; i >= 0; i--)
    if (log.codeAt(i) === eventCode.portWrite && log.whereAt(i) === port) return log.valueAt(i)
  return null
}

/** The light of every digit, left to right, from T-state `from` until `until`; what is lit then ends there. */
export function lightOf(log: EventLog, profile: BoardProfile, from: TState, until: TState): Light[] {
  const { segmentPort, selectPort, digits } = profile.display
  const wiring = wiringOf(profile)
  const lights = Array.from({ length: digits }, () => new OpenLight())
  const first = log.firstFrom(from)
  countWork(workOfEvent * (log.length - first))
  const latches = latchesBefore(log, profile, first)
  let before = 0
  const show = (t: TState) => {
    const segments = wiring.segments[latches.segments] ?? 0
    const selected = wiring.selected[latches.select] ?? 0
    // Most of the digits are selected neither before nor now.
    for (let touched = selected | before, digit = 0; touched !== 0; touched >>= 1, digit++)
      if (touched & 1) lights[digit]?.show(t, ((selected >> digit) & 1) === 1, segments)
    before = selected
  }
  show(from)
  for (let i = first; i < log.length; i++) {
    if (log.codeAt(i) !== eventCode.portWrite) continue
    const port = log.whereAt(i)
    if (port !== segmentPort && port !== selectPort) continue
    const t = log.timeAt(i)
    if (t >= until) break
    if (port === segmentPort) latches.segments = log.valueAt(i)
    if (port === selectPort) latches.select = log.valueAt(i)
    show(t)
  }
  for (const light of lights) light.show(until, false, 0)
  return lights
}

class OpenLight implements Light {
  readonly start: number[] = []
  readonly end: number[] = []
  readonly pattern: number[] = []
  readonly visit: number[] = []
  #isSelected = false
  #visits = 0
  #shown = 0
  #since = 0

  show(t: TState, isSelected: boolean, segments: Byte): void {
    const shown = isSelected ? segments : 0
    if (shown !== this.#shown || isSelected !== this.#isSelected) {
      if (this.#shown !== 0 && t > this.#since) {
        this.start.push(this.#since)
        this.end.push(t)
        this.pattern.push(this.#shown)
        this.visit.push(this.#visits)
      }
      this.#shown = shown
      this.#since = t
    }
    if (isSelected && !this.#isSelected) this.#visits += 1
    this.#isSelected = isSelected
  }
}
