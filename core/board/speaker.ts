import type { TState } from '../cpu/index.ts'
import type { BoardEvent, Note, SpeakerMeasure } from './event.ts'
import { EventLog, eventCode } from './event-log.ts'
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
  return measure(edges, 0, edges.t.length, profile, window?.from ?? 0)
}

/** Periods that differ from the mean of a note by less than this part belong to it. */
const samePitch = 0.02
/** An interval this many times longer than the one of its kind before and after it is a silence. */
const silenceRatio = 2.5
/** No tone has half periods longer than this (20 Hz, the lowest that is heard as a tone: common practice). */
const longestHalfPeriod = 1 / 40

/**
 * The edges parted into notes. A silence ends a note: an interval longer than 25 ms, or 2.5 times longer than the last
 * and the next one of its kind (cone at 1, or at 0). So does a change of pitch of more than 2 % that lasts; the edge at the change counts for both notes.
 */
export function notesOf(
  events: EventLog | Iterable<BoardEvent> | SpeakerEdges,
  profile: BoardProfile,
  window?: TimeWindow,
): Note[] {
  const edges = isEdges(events) ? edgesWithin(events, window) : speakerEdges(events, window)
  const notes: Note[] = []
  for (const [first, after] of soundsOf(edges.t, longestHalfPeriod * profile.clockHz)) {
    for (const [start, end] of pitchesOf(edges.t, first, after)) {
      const note = measure(edges, start, end, profile, edges.t[start] ?? 0)
      const before = notes[notes.length - 1]
      notes.push({ ...note, gapTStates: before === undefined ? 0 : note.from - before.to })
    }
  }
  return notes
}

/** Runs of edges `[first, after)` without a silence inside. */
function soundsOf(t: readonly TState[], longest: TState): [number, number][] {
  const interval = (k: number) => (t[k + 1] ?? 0) - (t[k] ?? 0)
  const sounds: [number, number][] = []
  let first = 0
  for (let k = 0; k < t.length; k++) {
    // Against intervals of its own kind, high or low: a lopsided tone has long and short ones in turn.
    const isLonger = (other: number) => interval(k) > silenceRatio * interval(other)
    const isSilence =
      k + 1 === t.length ||
      interval(k) > longest ||
      (k >= first + 2 && isLonger(k - 2) && (k + 3 >= t.length || isLonger(k + 2)))
    if (!isSilence) continue
    sounds.push([first, k + 1])
    first = k + 1
  }
  return sounds
}

/** Runs of edges `[first, after)` of one pitch. Whole periods are compared, so that a lopsided tone is one note. */
function pitchesOf(t: readonly TState[], first: number, after: number): [number, number][] {
  const period = (k: number) => (t[k + 2] ?? 0) - (t[k] ?? 0)
  const interval = (k: number) => (t[k + 1] ?? 0) - (t[k] ?? 0)
  const pitches: [number, number][] = []
  let start = first
  for (let k = first + 2; k + 2 < after; k++) {
    const whole = (k - start) & ~1
    if (whole < 2) continue
    const mean = (2 * ((t[start + whole] ?? 0) - (t[start] ?? 0))) / whole
    const isOff = (j: number) => Math.abs(period(j) - mean) > samePitch * mean
    // One odd period may be a late edge; a new pitch is off from here on.
    if (!isOff(k) || k + 4 >= after || !isOff(k + 1) || !isOff(k + 2)) continue
    // The first interval of this period that is not as long as the one of its kind before it.
    const isOld = Math.abs(interval(k) / interval(k - 2) - 1) <= samePitch
    const turn = isOld ? k + 1 : k
    pitches.push([start, turn + 1])
    // The edge between two pitches belongs to both, unless the time between them is no half period of the new one.
    const isGap = Math.abs(interval(turn) / interval(turn + 2) - 1) > samePitch
    start = isGap ? turn + 1 : turn
  }
  pitches.push([start, after])
  return pitches
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
