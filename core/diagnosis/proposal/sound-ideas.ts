import type { Note } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { evenTime, namesTime, timeText } from './lengths.ts'
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

/** More tones than these are held to their beginnings alone. */
const mostLengths = 8
/** A silence that an ear hears as one, in seconds; and one before the first tone that a task would speak of. */
const [pause, leadIn] = [0.01, 0.05]

/** How long each tone lasts where they differ, and when each begins: the pauses between them. */
function lengthIdeas(heard: readonly ModelBehaviour[], observed: Observed): readonly Idea[] {
  const { clockHz } = observed.profile
  const keyOf = ({ notes }: ModelBehaviour): string =>
    JSON.stringify(notes.map(({ from, to }) => [timeText(from / clockHz), timeText(to / clockHz)]))
  const most = Math.max(...heard.map(({ notes }) => notes.length))
  if (most > 64) return []
  const lengths = Array.from({ length: most > mostLengths ? 0 : most }, (_, i) =>
    perCase(heard, keyOf, (run, cases, suffix) => lengthIdea(run, i, observed, cases, suffix)),
  )
  return [...lengths.flat(), ...perCase(heard, keyOf, (run, cases, suffix) => startsIdea(run, observed, cases, suffix))]
}

function lengthIdea(
  { notes: heard, tStates }: ModelBehaviour,
  i: number,
  { profile: { clockHz }, isCut }: Observed,
  cases: readonly string[] | null,
  suffix: string,
): Idea | null {
  const [before, note, after] = [heard[i - 1], heard[i], heard[i + 1]]
  if (note === undefined || heard.length < 2 || (isCut && isStillSounding(note, tStates))) return null
  // Tones of one length are held to it together; without a silence nobody can say where one ends.
  if (evenTime([...heard.map((each) => lengthOf(each, clockHz)), 0]) !== null) return null
  if ([note.gapTStates, after?.gapTStates ?? Infinity].some((gap, k) => (i > 0 || k > 0) && gap < pause * clockHz))
    return null
  const middle = (end: TState, start: TState): string => `${Math.round((end + start) / 2)} T`
  const window: Way = {
    ...(before === undefined ? {} : { from: middle(before.to, note.from) }),
    ...(after === undefined ? {} : { to: middle(note.to, after.from) }),
    ...(cases === null ? {} : { cases }),
  }
  const length = timeText(lengthOf(note, clockHz))
  const base: Way = { kind: 'speaker', duration: `${note.durationTStates} T`, ...window }
  return {
    ...{ id: `length-${i + 1}${suffix}`, group: 'function', weight: 1, title: `Tone ${i + 1} lasts ${length}` },
    reason: `Tone ${i + 1} of the model answer lasts ${length}.`,
    ways: [
      { ...base, durationWithin: '2 %' },
      { ...base, durationWithin: '5 %' },
    ],
  }
}

function startsIdea(
  { notes: heard, tStates }: ModelBehaviour,
  { brief, profile: { clockHz }, isCut }: Observed,
  cases: readonly string[] | null,
  suffix: string,
): Idea | null {
  const last = heard.at(-1)
  const notes = isCut && last !== undefined && isStillSounding(last, tStates) ? heard.slice(0, -1) : heard
  const [first] = notes
  if (first === undefined) return null
  const pauses = notes.slice(1).filter(({ gapTStates }) => gapTStates >= pause * clockHz)
  const wait = first.from / clockHz
  if (pauses.length === 0 && wait < leadIn) return null
  const silences = pauses.map(({ gapTStates }) => timeText(gapTStates / clockHz))
  const told = [
    ...(wait < leadIn ? [] : [`begins after ${timeText(wait)}`]),
    ...(silences.length === 0 ? [] : [`pauses for ${[...new Set(silences)].slice(0, 4).join(', ')}`]),
  ].join(' and ')
  const distances = notes.map(({ from }, i) => from - (notes[i - 1]?.from ?? 0))
  const within = Math.max(0.01 * clockHz, 0.02 * Math.max(...distances))
  const base: Way = {
    kind: 'tones-in-turn',
    frequencies: notes.map(({ frequencyHz }) => namedHz(brief, frequencyHz ?? 0)),
    starts: notes.map(({ from }) => timeText(from / clockHz)),
    startsWithin: timeText(within / clockHz),
    ...(isCut ? { rest: 'free' } : {}),
    ...(cases === null ? {} : { cases }),
  }
  const isAsked = pauses.length > 0 || namesTime(brief, wait)
  return {
    ...{ id: `starts${suffix}`, group: 'function', weight: 1 },
    title: notes.length > 1 ? 'Each tone begins at its time' : `The tone begins after ${timeText(wait)}`,
    reason: `The model answer ${told}.${isAsked ? '' : ` ${onlyIf('says when it begins')}`}`,
    isChosen: isAsked,
    ways: [base, { ...base, frequencyWithin: '2 %' }, { ...base, frequencyWithin: '3 %' }],
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

function tonesIdea(
  { notes: heard, tStates }: ModelBehaviour,
  { brief, profile: { clockHz }, isCut }: Observed,
  cases: readonly string[] | null,
  suffix: string,
): Idea {
  const on: Way = cases === null ? {} : { cases }
  const last = heard.at(-1)
  const notes = isCut && last !== undefined && isStillSounding(last, tStates) ? heard.slice(0, -1) : heard
  const each = evenTime([...notes.map((note) => lengthOf(note, clockHz)), 0])
  const gap = Math.max(...notes.map(({ gapTStates }) => gapTStates))
  const time: Way = each === null ? {} : { each: timeText(each), eachWithin: '5 %' }
  const gaps: Way = withMargin(gap) <= 0.002 * clockHz ? { maxGap: '2 ms' } : { maxGap: `${withMargin(gap)} T` }
  const base: Way = {
    kind: 'tones-in-turn',
    frequencies: notes.map(({ frequencyHz }) => namedHz(brief, frequencyHz ?? 0)),
    ...(isCut ? { rest: 'free' } : {}),
    ...on,
  }
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
