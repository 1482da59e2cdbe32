import type { TState } from '../cpu/index.ts'
import type { BoardEvent, DigitMeasure, DisplayMeasure } from './event.ts'
import { EventLog } from './event-log.ts'
import { eyeFor } from './eye.ts'
import { splitGhosts } from './ghost.ts'
import { latchesBefore, lightOf, type Light } from './light.ts'
import type { BoardProfile } from './profile.ts'
import { wiringOf } from './wiring.ts'

/** Refresh rate, brightness and ghosts of every digit from T-state `from` to `to` (excluded). */
export function measureDisplay(
  events: EventLog | Iterable<BoardEvent>,
  profile: BoardProfile,
  from: TState,
  to: TState,
): DisplayMeasure {
  const log = EventLog.from(events)
  const digits = lightOf(log, profile, from, to).map((light, digit) => measureDigit(light, digit, profile, from, to))
  const rates = digits.flatMap(({ refreshHz }) => (refreshHz === null ? [] : [refreshHz]))
  const lit = digits.map(({ brightness }) => brightness).filter((brightness) => brightness > 0)
  return {
    refreshHz: rates.length === 0 ? null : Math.min(...rates),
    brightnessSpread: lit.length < 2 ? null : (Math.max(...lit) - Math.min(...lit)) / Math.max(...lit),
    digits,
  }
}

/** Whether no segment of any digit is lit at T-state `t` (what is written at `t` counts as written). */
export function isDisplayDark(events: EventLog | Iterable<BoardEvent>, profile: BoardProfile, t: TState): boolean {
  const log = EventLog.from(events)
  const wiring = wiringOf(profile)
  const latches = latchesBefore(log, profile, log.firstFrom(t + 1))
  return wiring.segments[latches.segments] === 0 || wiring.selected[latches.select] === 0
}

function measureDigit(light: Light, digit: number, profile: BoardProfile, from: TState, to: TState): DigitMeasure {
  let sweeps = 0
  let lit = 0
  let longestDark = 0
  let firstStart = 0
  let lastStart = 0
  light.start.forEach((start, k) => {
    lit += (light.end[k] ?? 0) - start
    if (k > 0) longestDark = Math.max(longestDark, start - (light.end[k - 1] ?? 0))
    if (k > 0 && light.visit[k] === light.visit[k - 1]) return
    sweeps += 1
    if (sweeps === 1) firstStart = start
    lastStart = start
  })
  const shown = splitGhosts(light, eyeFor(profile.clockHz)).timeBetween(from, to)
  return {
    digit,
    sweeps,
    refreshHz: sweeps < 2 ? null : ((sweeps - 1) * profile.clockHz) / (lastStart - firstStart),
    brightness: to > from ? lit / (to - from) : 0,
    longestDarkTStates: longestDark,
    ghost: shown.lit === 0 ? 0 : shown.ghost / shown.lit,
  }
}
