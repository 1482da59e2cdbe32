import type { BoardProfile } from '../board/index.ts'
import type { TState } from '../cpu/index.ts'
import type { Recording } from '../run/index.ts'
import { bitsOfSignal, boardSignals, cpuSignals, type CpuLane, type Signal } from './signal.ts'
import { timescaleOf } from './timescale.ts'

export interface VcdOptions {
  /** The stretch of the run, `to` excluded; the whole run by default. Times in the file count from the start of the run. */
  readonly from?: TState
  readonly to?: TState
  /** Beside what stands on the board. PC and busy registers make long files: some 20 bytes for each change. */
  readonly lanes?: readonly CpuLane[]
  /** Each bit as a lane of its own (`segments_0` …), for logic analyser programs that know no vectors; default false. */
  readonly asBits?: boolean
  /** Put into the file as comment. */
  readonly title?: string
  /** Put into the file as its date, in any form; left out by default, so that the same run gives the same file. */
  readonly date?: string
}

/**
 * A run as a value change dump (IEEE 1364-2001, clause 18, four-state). Times are exact wherever a T-state is a whole number
 * of femtoseconds; else they are rounded to picoseconds and the file says so.
 */
export function vcdOf(recording: Recording, profile: BoardProfile, options: VcdOptions = {}): string {
  const end = recording.result.tStates
  const from = Math.max(0, Math.min(end, options.from ?? 0))
  const to = Math.max(from, Math.min(end, options.to ?? end))
  const window = { from, to }
  const whole = [...boardSignals(recording, profile, window), ...cpuSignals(recording, options.lanes ?? [], window)]
  const signals = (options.asBits === true ? whole.flatMap(bitsOfSignal) : whole).map((signal, k) => ({
    ...signal,
    id: identifier(k),
  }))
  const timescale = timescaleOf(profile.clockHz)
  const rounding =
    timescale.ticksPerTState === null
      ? `one T-state is ${profile.clockHz}th of a second; times are rounded to the nearest ${timescale.text}`
      : `one T-state is ${timescale.ticksPerTState} x ${timescale.text}, exactly`
  const lines = [
    ...(options.date === undefined ? [] : [section('date', options.date)]),
    section('version', 'Hexcairn'),
    ...(options.title === undefined ? [] : [section('comment', options.title)]),
    section('comment', `${profile.title}, ${profile.clockHz} T-states a second: ${rounding}`),
    section('timescale', timescale.text),
    ...declarations(profile.id, signals),
    '$enddefinitions $end',
    `#${timescale.ticks(from)}`,
    '$dumpvars',
    ...signals.map((signal) => change(signal, signal.values[0] ?? 0)),
    '$end',
  ]
  let last = from
  const time = (t: TState) => {
    last = t
    lines.push(`#${timescale.ticks(t)}`)
  }
  merge(signals, time, (signal, value) => lines.push(change(signal, value)))
  // So that the file is as long as its window.
  if (to > last) time(to)
  return `${lines.join('\n')}\n`
}

interface Declared extends Signal {
  readonly id: string
}

function declarations(board: string, signals: readonly Declared[]): string[] {
  const scopes = [...new Set(signals.map(({ scope }) => scope))]
  return [
    `$scope module ${board.replace(/[^A-Za-z0-9_]/g, '_')} $end`,
    ...scopes.flatMap((scope) => [
      `$scope module ${scope} $end`,
      ...signals
        .filter((signal) => signal.scope === scope)
        .map(({ bits, id, name }) => `$var wire ${bits} ${id} ${name}${bits === 1 ? '' : ` [${bits - 1}:0]`} $end`),
      '$upscope $end',
    ]),
    '$upscope $end',
  ]
}

/** All changes behind the first of each signal, in the order of time. */
function merge(
  signals: readonly Declared[],
  time: (t: TState) => void,
  visit: (signal: Declared, value: number) => void,
): void {
  const next = signals.map(() => 1)
  for (;;) {
    let t = Infinity
    for (let k = 0; k < signals.length; k++) t = Math.min(t, signals[k]?.times[next[k] ?? 0] ?? Infinity)
    if (t === Infinity) return
    time(t)
    signals.forEach((signal, k) => {
      const at = next[k] ?? 0
      if (signal.times[at] !== t) return
      visit(signal, signal.values[at] ?? 0)
      next[k] = at + 1
    })
  }
}

function change({ bits, id }: Declared, value: number): string {
  return bits === 1 ? `${value & 1}${id}` : `b${value.toString(2).padStart(bits, '0')} ${id}`
}

/** A text that says `$end` would close its section. */
function section(name: string, text: string): string {
  return `$${name} ${text.replace(/\s+/g, ' ').replaceAll('$', '')} $end`
}

/** Printable characters `!` to `~`, as short as possible. */
function identifier(number: number): string {
  const rest = Math.floor(number / 94)
  return `${rest === 0 ? '' : identifier(rest - 1)}${String.fromCharCode(33 + (number % 94))}`
}
