import type { TState } from '../cpu/index.ts'
import type { BoardEvent, Note, SpeakerMeasure } from './event.ts'
import { EventLog, eventCode } from './event-log.ts'
import { notePartsOf } from './note-parts.ts'
import type { BoardProfile } from './profile.ts'

/** T-states at which the cone moved, and where to the first time (levels take turns). */
export interface SpeakerEdges {
  readonly t: readonly TState[]
  readonly firstLevel: 0 | 1
}

export interface TimeWindow {
  readonly from: TState
  /** Excluded. */
  readonly to: TState
}

/** The speaker's edges in a window, or in the whole log. */
export function speakerEdges(events: EventLog | Iterable<BoardEvent>, window?: TimeWindow): SpeakerEdges {
  const log = EventLog.from(events)
  const t: TState[] = []
  let firstLevel: 0 | 1 = 1
  for (let i = log.firstFrom(window?.from ?? 0); i < log.length; i++) {
    if (log.timeAt(i) >= (window?.to ?? Infinity)) break
    if (log.codeAt(i) !== eventCode.speakerEdge) continue
    if (t.length === 0) firstLevel = log.valueAt(i) === 0 ? 0 : 1
    t.push(log.timeAt(i))
  }
  return { t, firstLevel }
}

/** Frequency, duty, jitter and duration over all edges of a window, taken as one tone; `notesOf` parts several. */
export function measureSpeaker(
  events: EventLog | Iterable<BoardEvent> | SpeakerEdges,
  profile: BoardProfile,
  window?: TimeWindow,
): SpeakerMeasure {
  const edges = isEdges(events) ? edgesWithin(events, window) : speakerEdges(events, window)
  const whole = measure(edges, 0, edges.t.length, profile, window?.from ?? 0)
  const tones = notePartsOf(edges.t, profile.clockHz).filter(([first, after]) => after - first > 1)
  const [only] = tones
  return { ...whole, ...(only === undefined || tones.length > 1 ? unknown : steadyOf(edges, ...only, profile)) }
}

/** The edges parted into notes, as `notePartsOf` says. */
export function notesOf(
  events: EventLog | Iterable<BoardEvent> | SpeakerEdges,
  profile: BoardProfile,
  window?: TimeWindow,
): Note[] {
  const edges = isEdges(events) ? edgesWithin(events, window) : speakerEdges(events, window)
  const notes: Note[] = []
  for (const [first, after] of notePartsOf(edges.t, profile.clockHz)) {
    const note = measure(edges, first, after, profile, edges.t[first] ?? 0)
    const before = notes[notes.length - 1]
    const gapTStates = before === undefined ? 0 : note.from - before.to
    notes.push({ ...note, ...steadyOf(edges, first, after, profile), gapTStates })
  }
  return notes
}

/** Of the two readings of a tone's pitch the one nearer to `hz`: all its edges, or its steady part; 0 without any. */
export function pitchNear({ frequencyHz, steadyHz }: SpeakerMeasure, hz: number): number {
  return nearer(frequencyHz, steadyHz, hz) ?? 0
}

/**
 * T-states of silence between two notes: from where the last half wave of the first ends, half a period behind its last edge,
 * to the first edge of the second; 0 where that is no time.
 */
export function silenceBetween(one: Note, other: Note, profile: BoardProfile): TState {
  return Math.max(0, other.from - one.to - lastHalfWave(one, profile))
}

/**
 * The same silence, or that from the last edge itself: whichever is nearer to `wanted` T-states. A cone that comes to rest
 * with its last edge, and one that waits half a period more before the silence begins, sound the same.
 */
export function silenceNear(one: Note, other: Note, wanted: TState, profile: BoardProfile): TState {
  return nearerOf(silenceBetween(one, other, profile), other.from - one.to, wanted)
}

/**
 * T-states that a note lasts, from its first edge to its last, or to the end of the half wave behind that, which the next
 * note cuts short: whichever is nearer to `wanted`.
 */
export function lengthNear(note: Note, next: Note | null, wanted: TState, profile: BoardProfile): TState {
  const end = Math.min(note.to + lastHalfWave(note, profile), Math.max(note.to, next?.from ?? Infinity))
  return nearerOf(note.durationTStates, end - note.from, wanted)
}

function lastHalfWave({ steadyHz, frequencyHz }: Note, { clockHz }: BoardProfile): TState {
  const hz = steadyHz ?? frequencyHz
  return hz === null ? 0 : Math.round(clockHz / (2 * hz))
}

/** The same as for pitch for its duty, 0 to 1; null without any. */
export function dutyNear({ duty, steadyDuty }: SpeakerMeasure, wanted: number): number | null {
  return nearer(duty, steadyDuty, wanted)
}

function nearer(one: number | null, other: number | null, wanted: number): number | null {
  return one === null || other === null ? one : nearerOf(one, other, wanted)
}

function nearerOf(one: number, other: number, wanted: number): number {
  return Math.abs(other - wanted) < Math.abs(one - wanted) ? other : one
}

type Steady = Pick<SpeakerMeasure, 'steadyHz' | 'steadyDuty'>
const unknown: Steady = { steadyHz: null, steadyDuty: null }
/** Edges of a tone that has a usual wave: three of them at least. */
const fewestSteady = 7

/**
 * A tone without its first half wave and its last, which what comes before and after a loop often makes other than the rest,
 * and with the half wave that differs most from its kind, as one late edge or one tick makes it, taken for a usual one. What
 * happens to many waves counts: ticks that come again and again make a tone lower for an ear too.
 */
function steadyOf({ t, firstLevel }: SpeakerEdges, first: number, after: number, { clockHz }: BoardProfile): Steady {
  if (after - first < fewestSteady) return unknown
  const begin = first + 1
  const waves = (after - first - 3) >> 1
  const half = (k: number) => (t[k + 1] ?? 0) - (t[k] ?? 0)
  const time = [0, 0]
  let odd = { excess: 0, kind: 0 }
  for (const kind of [0, 1]) {
    const halves: TState[] = []
    for (let k = begin + kind; k < begin + 2 * waves; k += 2) halves.push(half(k))
    const usual = halves.toSorted((a, b) => a - b)[halves.length >> 1] ?? 0
    for (const each of halves) {
      time[kind] = (time[kind] ?? 0) + each
      if (Math.abs(each - usual) > Math.abs(odd.excess)) odd = { excess: each - usual, kind }
    }
  }
  time[odd.kind] = (time[odd.kind] ?? 0) - odd.excess
  const [one = 0, other = 0] = time
  const isOneHigh = (begin % 2 === 0) === (firstLevel === 1)
  return { steadyHz: (waves * clockHz) / (one + other), steadyDuty: (isOneHigh ? one : other) / (one + other) }
}

function measure(
  edges: SpeakerEdges,
  first: number,
  after: number,
  profile: BoardProfile,
  empty: TState,
): SpeakerMeasure {
  const { t } = edges
  const count = after - first
  const from = t[first] ?? empty
  const to = t[after - 1] ?? from
  let shortest = Infinity
  let longest = 0
  let high = 0
  const whole = after - 1 - ((count - 1) % 2)
  for (let k = first; k + 1 < after; k++) {
    const half = (t[k + 1] ?? 0) - (t[k] ?? 0)
    shortest = Math.min(shortest, half)
    longest = Math.max(longest, half)
    const isHigh = (k % 2 === 0) === (edges.firstLevel === 1)
    if (isHigh && k < whole) high += half
  }
  return {
    edges: count,
    from,
    to,
    frequencyHz: count < 2 ? null : ((count - 1) * profile.clockHz) / (2 * (to - from)),
    durationTStates: to - from,
    duty: count < 3 ? null : high / ((t[whole] ?? 0) - from),
    jitterTStates: count < 2 ? null : longest - shortest,
    ...unknown,
  }
}

function isEdges(events: EventLog | Iterable<BoardEvent> | SpeakerEdges): events is SpeakerEdges {
  return 'firstLevel' in events
}

function edgesWithin(edges: SpeakerEdges, window: TimeWindow | undefined): SpeakerEdges {
  if (window === undefined) return edges
  const first = edges.t.findIndex((t) => t >= window.from)
  if (first < 0) return { t: [], firstLevel: 1 }
  const isFlipped = first % 2 === 1
  return {
    t: edges.t.filter((t) => t >= window.from && t < window.to),
    firstLevel: (edges.firstLevel === 1) !== isFlipped ? 1 : 0,
  }
}
