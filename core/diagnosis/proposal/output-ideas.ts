import type { Note } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import type { Observed } from './observed.ts'
import { onlyIf, withMargin, type Idea, type Way } from './proposal.ts'

/** A sign that stands at least so long is meant to be read. */
const readable = 0.2

/** What the digits show. One idea where all runs show the same, else one for each case. */
export function displayIdeas(observed: Observed): readonly Idea[] {
  const shown = observed.runs.filter(({ signs }) => signs.length > 0)
  if (shown.length === 0) return []
  return perCase(
    shown,
    (run) => JSON.stringify(run.signs.map(({ text }) => text)),
    (run, cases, suffix) => displayIdea(run, observed, cases, suffix),
  )
}

/** One idea where all runs give the same, else one for each case whose runs do. */
function perCase(
  runs: readonly ModelBehaviour[],
  keyOf: (run: ModelBehaviour) => string,
  ideaOf: (run: ModelBehaviour, cases: readonly string[] | null, suffix: string) => Idea | null,
): readonly Idea[] {
  const [first] = runs
  if (first === undefined) return []
  const isSame = (some: readonly ModelBehaviour[]): boolean => new Set(some.map(keyOf)).size === 1
  if (isSame(runs)) {
    const idea = ideaOf(first, null, '')
    return idea === null ? [] : [idea]
  }
  const ids = [...new Set(runs.map(({ instance }) => instance.of.id))]
  return ids.flatMap((id) => {
    const own = runs.filter(({ instance }) => instance.of.id === id)
    const [run] = own
    if (run === undefined || !isSame(own)) return []
    const idea = ideaOf(run, [id], `-${id}`)
    if (idea === null) return []
    return [run.instance.isVisible ? idea : { ...idea, ways: idea.ways.map((way) => ({ ...way, visible: false })) }]
  })
}

function displayIdea(
  run: ModelBehaviour,
  { profile: { clockHz }, isCut }: Observed,
  cases: readonly string[] | null,
  suffix: string,
): Idea | null {
  const { display, isDarkAtEnd } = run
  // The last of several signs is cut short, and a right answer a little faster shows one more.
  const signs = isCut && run.signs.length > 1 ? run.signs.slice(0, -1) : run.signs
  if (signs.some(({ text }) => text.includes('?'))) return null
  const on: Way = cases === null ? {} : { cases }
  const dark: Way = isDarkAtEnd && !isCut ? { darkAtEnd: true } : {}
  const steady: Way = display?.refreshHz !== null && (display?.refreshHz ?? 0) >= 60 ? { minRefresh: 60 } : {}
  const clean: Way = (display?.ghost ?? 100) <= 1 ? { maxGhost: 1 } : {}
  const [only] = signs
  if (run.signs.length === 1 && only !== undefined) {
    const seconds = (only.to - only.from) / clockHz
    const time: Way = seconds >= readable && !isCut ? { for: timeText(seconds), forWithin: '5 %' } : {}
    const base: Way = { kind: 'digits-seen', glyphs: only.text, ...on }
    return {
      ...{ id: `seen${suffix}`, group: 'function', weight: 2, title: `The digits show '${only.text.trim()}'` },
      reason: `That is what an eye sees of the model answer${seconds >= readable ? `, for ${timeText(seconds)}` : ''}.`,
      ways: [
        { ...base, ...time, ...steady, ...clean, ...dark },
        { ...base, ...time, ...dark },
        { ...base, ...dark },
        { ...base, state: 'any', ...dark },
        { ...base, state: 'any' },
      ],
    }
  }
  if (signs.length > 100) return null
  const each = evenTime(signs.map(({ from, to }) => (to - from) / clockHz))
  const rest: Way = isCut ? { rest: 'free' } : {}
  const base: Way = { kind: 'signs-in-turn', signs: signs.map(({ text }) => text), ...rest, ...on }
  const inTime: Way = each === null ? {} : { each: timeText(each), eachWithin: '3 %' }
  return {
    ...{ id: `signs${suffix}`, group: 'function', weight: 3, title: `${signs.length} signs one after the other` },
    reason: `The model answer shows ${signs.length} signs${each === null ? '' : `, each for ${timeText(each)}`}.`,
    ways: [
      { ...base, ...inTime, ...steady },
      { ...base, ...inTime },
      { ...base, ...inTime, steady: false },
      { ...base },
      { ...base, steady: false },
      { ...base, steady: false, rest: 'free' },
    ],
  }
}

/** The time that all but the last have in common, in seconds; null where they differ by more than 2 %. */
function evenTime(seconds: readonly number[]): number | null {
  const all = seconds.slice(0, -1)
  if (all.length === 0) return null
  const mean = all.reduce((sum, each) => sum + each, 0) / all.length
  return mean > 0 && all.every((each) => Math.abs(each - mean) <= 0.02 * mean) ? mean : null
}

/** `250 ms`, `2 s`, `1333.3 ms`. */
function timeText(seconds: number): string {
  const ms = seconds * 1000
  const round = [1000, 500, 100, 50, 10, 5, 1].map((step) => Math.round(ms / step) * step)
  const near = round.find((each) => each > 0 && Math.abs(each - ms) <= 0.005 * ms) ?? Math.round(ms * 10) / 10
  return near >= 1000 && near % 1000 === 0 ? `${near / 1000} s` : `${near} ms`
}

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
  return [...tones, ...shape, ...quiet]
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
  const length = timeText(note.durationTStates / clockHz)
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
    reason: `The model answer gives ${Math.round(note.frequencyHz * 10) / 10} Hz with ${note.edges} edges.`,
    ways: [
      { ...base, edges: note.edges, edgesWithin: '2 %' },
      { ...base, duration: length, durationWithin: '2 %' },
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
  const each = evenTime([...notes.map(({ durationTStates }) => durationTStates / clockHz), 0])
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

/** Lamps and other ports. */
export function portIdeas(observed: Observed): readonly Idea[] {
  const ports = new Set(observed.runs.flatMap((run) => [...run.ports.keys()]))
  return [...ports].flatMap((port) =>
    perCase(
      observed.runs,
      (run) => String(run.ports.get(port) ?? []),
      (run, cases, suffix) => {
        const values = run.ports.get(port) ?? []
        if (values.length === 0 || values.length > 256) return null
        const hex = port.toString(16).toUpperCase().padStart(2, '0')
        const text = values.map((value) => value.toString(16).toUpperCase().padStart(2, '0')).join(' ')
        return {
          ...{
            id: `port-${hex.toLowerCase()}${suffix}`,
            group: 'function',
            weight: 2,
            title: `What goes to port ${hex}h`,
          },
          reason: `The model answer writes ${values.length} values to it.`,
          ways: [
            {
              kind: 'ports',
              port,
              values: text,
              changes: true,
              ...(observed.isCut ? { match: 'first' } : {}),
              ...(cases === null ? {} : { cases }),
            },
          ],
        }
      },
    ),
  )
}

/** Interrupts accepted and lost, and what the handler leaves. */
export function interruptIdeas({ brief, runs }: Observed): readonly Idea[] {
  const counts = runs.map(({ interrupts }) => interrupts.accepted)
  const [accepted = 0] = counts
  if (accepted === 0) return []
  const lost = Math.max(...runs.map(({ interrupts }) => interrupts.lost))
  const isSame = counts.every((count) => count === accepted)
  return [
    {
      ...{ id: 'ticks', group: 'function', weight: 2, title: 'No interrupt is lost' },
      ...(/\blost\b|\blose\b/.test(brief)
        ? { reason: `The model answer accepts ${accepted} interrupts and loses ${lost}.` }
        : {
            reason: `The model answer accepts ${accepted} interrupts and loses ${lost}. ${onlyIf('counts them')}`,
            isChosen: false,
          }),
      ways: [
        ...(isSame ? [{ kind: 'interrupts', accepted, acceptedWithin: '2 times', maxLost: lost }] : []),
        { kind: 'interrupts', maxLost: lost },
      ],
    },
    {
      ...{ id: 'handler', group: 'care', weight: 1, title: 'The handler brings back all registers' },
      reason: 'The model answer’s handler does, and lets interrupts in again.',
      ways: [{ kind: 'handler' }, { kind: 'handler', enables: false }],
    },
  ]
}
