import { silenceBetween, type Note } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { evenTime, namedTime, namesTime, timeText } from './lengths.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import type { Observed } from './observed.ts'
import { perCase } from './per-case.ts'
import { onlyIf, withMargin, type Idea, type Way } from './proposal.ts'

/** A frequency as a task would name it: a round one within half a percent. */
function roundHz(hz: number): number {
  const round = [100, 50, 10, 5, 1].map((step) => Math.round(hz / step) * step)
  return round.find((each) => each > 0 && Math.abs(each - hz) <= 0.005 * hz) ?? Math.round(hz * 10) / 10
}

/** What the speaker gives. */
export function soundIdeas(observed: Observed): readonly Idea[] {
  const heard = observed.runs.filter(({ notes }) => notes.some(({ edges }) => edges >= 4))
  if (heard.length === 0) return []
  const { clockHz } = observed.profile
  const tones = perCase(
    heard,
    ({ notes }) => JSON.stringify(notes.map(({ frequencyHz }) => roundHz(frequencyHz ?? 0))),
    (run, cases, suffix) =>
      run.notes.length > 64
        ? null
        : run.notes.length > 1
          ? tonesIdea(run, observed, cases, suffix)
          : toneIdea(run, observed, cases, suffix),
  )
  const [first] = heard
  const shape = first !== undefined && first.notes.length === 1 ? shapeIdeas(first, clockHz) : []
  const quiet: readonly Idea[] =
    !observed.isCut && heard.every(({ endLevel }) => endLevel === 0)
      ? [
          {
            ...{ id: 'silent-end', group: 'care', weight: 1, title: 'The speaker is left at 0' },
            reason: 'The model answer leaves it at 0, so that no current flows.',
            ways: [{ kind: 'speaker', endLevel: 0 }],
          },
        ]
      : []
  return [...tones, ...lengthIdeas(heard, observed), ...shape, ...quiet]
}

/** A silence that an ear hears as one, in seconds; and one before the first tone that a task would speak of. */
const [pause, leadIn] = [0.01, 0.05]

/** How long each tone lasts where they differ, how long the silences between them, and when the first begins. */
function lengthIdeas(heard: readonly ModelBehaviour[], observed: Observed): readonly Idea[] {
  const { clockHz } = observed.profile
  const keyOf = ({ notes }: ModelBehaviour): string =>
    JSON.stringify(notes.map(({ from, to }) => [timeText(from / clockHz), timeText(to / clockHz)]))
  if (heard.some(({ notes }) => notes.length > 64)) return []
  return [lengthsIdea, pausesIdea, startIdea].flatMap((ideaOf) =>
    perCase(heard, keyOf, (run, cases, suffix) => ideaOf(run, observed, cases, suffix)),
  )
}

type TimeIdea = (
  run: ModelBehaviour,
  observed: Observed,
  cases: readonly string[] | null,
  suffix: string,
) => Idea | null

const lengthsIdea: TimeIdea = (run, observed, cases, suffix) => {
  const { clockHz } = observed.profile
  const notes = wholeNotes(run, observed)
  const seconds = notes.map((note) => lengthOf(note, clockHz))
  // Tones of one length are held to it together.
  if (notes.length < 2 || evenTime([...seconds, 0]) !== null) return null
  const lengths = seconds.map((each) => namedTime(observed.brief, each))
  const base: Way = { ...turnOf(notes, observed, cases), frequencyWithin: '10 %', lengths }
  return {
    ...{ id: `lengths${suffix}`, group: 'function', weight: 2, title: 'Each tone has its length' },
    reason: `The tones of the model answer last ${someOf(lengths)}.`,
    ways: [
      { ...base, lengthsWithin: '2 %' },
      { ...base, lengthsWithin: '5 %' },
      { ...base, lengths: seconds.map((each) => timeText(each)), lengthsWithin: '5 %' },
    ],
  }
}

const pausesIdea: TimeIdea = (run, observed, cases, suffix) => {
  const { profile } = observed
  const { clockHz } = profile
  const notes = wholeNotes(run, observed)
  const silences = notes.slice(1).map((note, i) => silenceBetween(notes[i] ?? note, note, profile) / clockHz)
  const heard = silences.filter((each) => each >= pause)
  if (heard.length === 0) return null
  // What else is done between two tones takes some time too.
  const within = 0.05 * Math.min(...heard) >= 0.002 ? '5 %' : timeText(Math.max(0.002, 0.05 * Math.max(...heard)))
  const pauses = silences.map((each) => (each >= pause ? namedTime(observed.brief, each) : 'any'))
  return {
    ...{ id: `pauses${suffix}`, group: 'function', weight: 1 },
    title: heard.length > 1 ? 'Each silence has its length' : `${timeText(heard[0] ?? 0)} of silence`,
    reason: `Between its tones the model answer is silent for ${someOf(heard.map((each) => timeText(each)))}.`,
    ways: [{ ...turnOf(notes, observed, cases), frequencyWithin: '10 %', pauses, pausesWithin: within }],
  }
}

const startIdea: TimeIdea = ({ notes: [first] }, observed, cases, suffix) => {
  const { brief, profile } = observed
  const wait = (first?.from ?? 0) / profile.clockHz
  if (first === undefined || wait < leadIn) return null
  const isAsked = namesTime(brief, wait)
  const base: Way = {
    ...turnOf([first], observed, cases),
    ...{ starts: [timeText(wait)], startsWithin: timeText(Math.max(0.01, 0.02 * wait)), rest: 'free' },
  }
  return {
    ...{ id: `starts${suffix}`, group: 'function', weight: 1, title: `The sound begins after ${timeText(wait)}` },
    reason: `The model answer begins after ${timeText(wait)}.${isAsked ? '' : ` ${onlyIf('says when it begins')}`}`,
    isChosen: isAsked,
    ways: [base, { ...base, frequencyWithin: '2 %' }, { ...base, frequencyWithin: '3 %' }],
  }
}

/** Different ones, the first four of them. */
function someOf(times: readonly string[]): string {
  const different = [...new Set(times)]
  return different.length > 4
    ? `${different.slice(0, 4).join(', ')} and so on`
    : different.join(different.length > 2 ? ', ' : ' and ')
}

/** Without a last tone that may have gone on behind the end of the run. */
function wholeNotes({ notes, tStates }: ModelBehaviour, { isCut }: Observed): readonly Note[] {
  const last = notes.at(-1)
  return isCut && last !== undefined && isStillSounding(last, tStates) ? notes.slice(0, -1) : notes
}

/** A check of these tones in turn; of several each one counts. */
function turnOf(notes: readonly Note[], { brief, isCut }: Observed, cases: readonly string[] | null): Way {
  return {
    kind: 'tones-in-turn',
    ...(notes.length > 1 ? { credit: 'parts' } : {}),
    frequencies: notes.map(({ frequencyHz }) => namedHz(brief, frequencyHz ?? 0)),
    ...(isCut ? { rest: 'free' } : {}),
    ...(cases === null ? {} : { cases }),
  }
}

/** From the first edge to the last, and the half wave behind it, in seconds. */
function lengthOf({ durationTStates, edges }: Note, clockHz: number): number {
  return (durationTStates * edges) / Math.max(1, edges - 1) / clockHz
}

function toneIdea(
  { notes, tStates }: ModelBehaviour,
  { profile: { clockHz }, isCut }: Observed,
  cases: readonly string[] | null,
  suffix: string,
): Idea | null {
  const [note] = notes
  if (note === undefined || note.frequencyHz === null) return null
  const hz = roundHz(note.frequencyHz)
  const on: Way = cases === null ? {} : { cases }
  const length = timeText(lengthOf(note, clockHz))
  const base: Way = { kind: 'speaker', frequency: hz, frequencyWithin: '1 %', ...on }
  const title = `${hz} Hz`
  const reason = `The model answer gives ${Math.round(note.frequencyHz * 10) / 10} Hz`
  if (isCut && isStillSounding(note, tStates)) {
    return {
      ...{ id: `tone${suffix}`, group: 'function', weight: 3, title, reason: `${reason}, and goes on.` },
      ways: [base, { ...base, frequencyWithin: '2 %' }],
    }
  }
  return {
    ...{ id: `tone${suffix}`, group: 'function', weight: 3, title: `${hz} Hz for ${length}` },
    reason: `${reason} with ${note.edges} edges.`,
    ways: [
      { ...base, edges: note.edges, edgesWithin: '2 %' },
      { ...base, duration: `${note.durationTStates} T`, durationWithin: '2 %' },
      base,
      { ...base, frequencyWithin: '2 %' },
    ],
  }
}

function shapeIdeas({ notes }: ModelBehaviour, clockHz: number): readonly Idea[] {
  const [note] = notes
  if (note === undefined) return []
  const jitter = Math.max(withMargin(note.jitterTStates ?? 0), Math.round(26 * (clockHz / 2_500_000)))
  const isEven = Math.abs((note.duty ?? 0) - 0.5) <= 0.01
  return [
    {
      ...{ id: 'even', group: 'timing', weight: 1, title: `Even to ${jitter} T` },
      reason: `Half periods of the model answer differ by ${note.jitterTStates ?? 0} T.`,
      ways: [
        { kind: 'speaker', ...(isEven ? { duty: 50, dutyWithin: 1 } : {}), maxJitter: `${jitter} T` },
        { kind: 'speaker', maxJitter: `${jitter} T` },
      ],
    },
  ]
}

/** The number in a task that is meant by a frequency: the nearest within 2.5 %; else a round one. */
function namedHz(brief: string, hz: number): number {
  const numbers = (brief.match(/\b\d{2,5}(?:\.\d+)?\b/g) ?? []).map(Number)
  const [nearest] = numbers.toSorted((a, b) => Math.abs(a - hz) - Math.abs(b - hz))
  return nearest !== undefined && Math.abs(nearest - hz) <= 0.025 * hz ? nearest : roundHz(hz)
}

/** It may have gone on behind the end of the run. */
function isStillSounding({ to, from, edges }: Note, end: TState): boolean {
  return end - to < (4 * (to - from)) / Math.max(1, edges - 1)
}

const tonesIdea: TimeIdea = (run, observed, cases, suffix) => {
  const { clockHz } = observed.profile
  const notes = wholeNotes(run, observed)
  const each = evenTime([...notes.map((note) => lengthOf(note, clockHz)), 0])
  const gap = Math.max(...notes.map(({ gapTStates }) => gapTStates))
  const time: Way = each === null ? {} : { each: timeText(each), eachWithin: '5 %' }
  const gaps: Way = withMargin(gap) <= 0.002 * clockHz ? { maxGap: '2 ms' } : { maxGap: `${withMargin(gap)} T` }
  const base = turnOf(notes, observed, cases)
  return {
    ...{ id: `tones${suffix}`, group: 'function', weight: 3, title: `${notes.length} tones one after the other` },
    reason: `The model answer gives ${notes.length} tones.`,
    ways: [
      { ...base, ...time, ...gaps },
      { ...base, ...time },
      { ...base, ...gaps, frequencyWithin: '2 %' },
      { ...base, frequencyWithin: '2 %' },
      { ...base, frequencyWithin: '3 %', rest: 'free' },
    ],
  }
}
