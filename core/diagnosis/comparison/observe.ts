import {
  eventCode,
  isDisplayDark,
  notesOf,
  speakerEdges,
  type BoardProfile,
  type DigitSpan,
} from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import { endText, registerText, registerValue } from '../../exercise/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import type { Recording, RunRequest } from '../../run/index.ts'
import { flagText } from '../slice/facts.ts'
import { flagNames } from '../slice/why.ts'
import type { ObservedEvent } from './difference.ts'
import type { CompareOptions } from './options.ts'

/** A run that can be compared: its recording, and what it was asked to do. */
export interface ComparedRun {
  readonly recording: Recording
  readonly request: RunRequest
}

/** An event whose step nobody has asked for yet. */
export interface Observed {
  readonly event: ObservedEvent
  readonly t: TState
  readonly text: string
}

/** Events of one sort, in the order of time: those of two runs are held against each other one by one. */
export type Lane = readonly Observed[]

/** A dark stretch shorter than this does not part two showings of the same sign. */
const shortestDark = 0.1
/** A sign that stands for less than this among others is one that passes by while the digits change. */
const shortestSign = 0.1
/** So many edges make a tone. */
const fewestEdges = 4

/** Everything that can be noticed of a run, by lanes that have a name each. */
export function lanesOf(
  { recording }: ComparedRun,
  profile: BoardProfile,
  options: CompareOptions,
): ReadonlyMap<string, Lane> {
  const lanes = new Map<string, Lane>()
  for (let digit = 0; digit < profile.display.digits; digit++) {
    if (options.digits?.includes(digit) === false) continue
    const lane = digitLane(recording.digits, digit, profile)
    const isFree = (t: TState): boolean => (options.freeDigits ?? []).some(({ from, to }) => t >= from && t < to)
    lanes.set(
      `digit ${digit + 1}`,
      lane.filter(({ t }) => !isFree(t)),
    )
  }
  lanes.set('speaker', speakerLane(recording, profile))
  for (const [port, lane] of portLanes(recording, profile)) lanes.set(`port ${showByte(port)}`, lane)
  for (const register of options.registers ?? []) {
    const value = registerValue(recording.result.registers, register)
    lanes.set(`register ${register}`, [
      {
        event: { kind: 'register', register, value },
        t: recording.result.tStates,
        text: registerText(register, value),
      },
    ])
  }
  for (const flag of options.flags ?? []) {
    const value = (recording.result.registers.af >> flagNames.indexOf(flag)) & 1
    const event: ObservedEvent = { kind: 'register', register: flagText(flag), value }
    lanes.set(flagText(flag), [{ event, t: recording.result.tStates, text: `${flagText(flag)} = ${value}` }])
  }
  return lanes
}

/** What is left when the run ends, as far as it counts: the speaker's level, a lit display. */
export function leftOf({ recording }: ComparedRun, profile: BoardProfile, options: CompareOptions): Lane {
  const { events, result } = recording
  const t = result.tStates
  const left: Observed[] = []
  if (options.isLevelMarked === true) {
    const edges = speakerEdges(events)
    const level = edges.t.length === 0 || (edges.firstLevel + edges.t.length - 1) % 2 === 0 ? 0 : 1
    left.push({ event: { kind: 'click', level }, t, text: `the speaker is left at ${level}` })
  }
  if (options.isDarkMarked === true) {
    const isDark = isDisplayDark(events, profile, t)
    left.push({ event: { kind: 'display', isDark }, t, text: `the display is left ${isDark ? 'dark' : 'lit'}` })
  }
  return left
}

/** How the run ended. */
export function endOf({ recording, request }: ComparedRun): Observed {
  const { end, lastPc, tStates } = recording.result
  return { event: { kind: 'end', end: end.kind }, t: tStates, text: endText(end, lastPc, request.profile) }
}

/** What a byte holds at the end; `t` is the end of the run until its last write is asked for. */
export function byteOf({ recording }: ComparedRun, address: Addr): Observed {
  const value = recording.result.memory[address] ?? 0
  return {
    event: { kind: 'memory', address, value },
    t: recording.result.tStates,
    text: `${showWord(address)} = ${showByte(value)}`,
  }
}

function digitLane(spans: readonly DigitSpan[], digit: number, { clockHz }: BoardProfile): Lane {
  const own = spans.filter((span) => span.digit === digit)
  const kept: { from: TState; to: TState; glyph: string; segments: number; isSteady: boolean }[] = []
  for (const [i, { from, to, glyph, segments, state }] of own.entries()) {
    const isLit = segments !== 0
    const isBrief = to - from < (isLit ? shortestSign : shortestDark) * clockHz
    // The one sign of a run counts however briefly it was seen.
    const isAmongOthers = own.some((other, k) => k !== i && other.segments !== 0 && other.to - other.from > to - from)
    if (isBrief && isAmongOthers && i > 0) continue
    const last = kept.at(-1)
    if (last?.segments === segments) {
      last.to = to
      last.isSteady &&= state === 'steady' || !isLit
    } else kept.push({ from, to, glyph, segments, isSteady: state === 'steady' || !isLit })
  }
  if (kept[0]?.segments === 0) kept.shift()
  return kept.map(({ from, glyph, segments, isSteady }) => {
    const said = segments === 0 ? 'goes dark' : `shows ${glyph}${isSteady ? '' : ', not steadily'}`
    return { event: { kind: 'digit', digit, glyph, isSteady }, t: from, text: `digit ${digit + 1} ${said}` }
  })
}

function speakerLane({ events }: Recording, profile: BoardProfile): Lane {
  const edges = speakerEdges(events)
  return notesOf(edges, profile).flatMap((note): readonly Observed[] => {
    const { from, to, edges: count, frequencyHz, durationTStates: tStates, duty } = note
    if (count < fewestEdges || frequencyHz === null) {
      return edges.t
        .filter((t) => t >= from && t <= to)
        .map((t): Observed => {
          const isFlipped = edges.t.indexOf(t) % 2 === 1
          const level = (edges.firstLevel === 1) !== isFlipped ? 1 : 0
          return { event: { kind: 'click', level }, t, text: `the speaker goes to ${level}` }
        })
    }
    const ms = (tStates / profile.clockHz) * 1000
    const text = `${figure(frequencyHz)} Hz for ${figure(ms)} ms`
    return [{ event: { kind: 'note', hz: frequencyHz, tStates, duty }, t: from, text }]
  })
}

const figure = (value: number): string => String(Math.round(value * 10) / 10)

/** Writes to the lamps and to ports at which the board has nothing: what is written counts, a repetition does not. */
function portLanes({ events }: Recording, profile: BoardProfile): ReadonlyMap<number, Lane> {
  const { segmentPort, selectPort } = profile.display
  const seen = [segmentPort, selectPort, profile.speaker.port]
  const lanes = new Map<number, Observed[]>()
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.portWrite) continue
    const port = events.whereAt(i)
    if (seen.includes(port)) continue
    const value = events.valueAt(i)
    const lane = lanes.get(port) ?? []
    const last = lane.at(-1)?.event
    if (last?.kind === 'port' && last.value === value) continue
    lane.push({
      event: { kind: 'port', port, value },
      t: events.timeAt(i),
      text: `${showByte(value)} to port ${showByte(port)}`,
    })
    lanes.set(port, lane)
  }
  return lanes
}
