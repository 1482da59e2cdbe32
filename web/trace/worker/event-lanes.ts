import type { BoardEvent, DigitSpan, SpeakerMeasure } from '../../../core/board/index.ts'
import type { DigitLook, Lane, Sound } from '../model/lane.ts'
import { type Runs, RunsBuilder } from '../model/runs.ts'
import type { Span } from '../model/span.ts'

type LaneOf<K extends Lane['kind']> = Lane & { readonly kind: K }

/** One lane a digit, from left to right. */
export function digitLanes(spans: readonly DigitSpan[], digits: number, end: number): Lane[] {
  return Array.from({ length: digits }, (_, digit) => {
    const looks: DigitLook[] = [{ segments: 0, glyph: ' ', state: 'dark' }]
    const known = new Map([['0 dark', 0]])
    const builder = new RunsBuilder()
    builder.append(0, 0)
    for (const span of spans) {
      if (span.digit !== digit) continue
      const key = `${span.segments} ${span.state}`
      let index = known.get(key)
      if (index === undefined) {
        index = looks.push({ segments: span.segments, glyph: span.glyph, state: span.state }) - 1
        known.set(key, index)
      }
      builder.append(span.from, index)
      builder.append(span.to, 0)
    }
    return { kind: 'digit', id: `digit-${digit}`, title: `Digit ${digit + 1}`, runs: builder.finish(end), looks }
  })
}

export function speakerRuns(events: readonly BoardEvent[], end: number): Runs {
  const builder = new RunsBuilder()
  const first = events.find((event) => event.kind === 'speaker-edge')
  builder.append(0, first === undefined ? 0 : 1 - first.level)
  for (const event of events) if (event.kind === 'speaker-edge') builder.append(event.t, event.level)
  return builder.finish(end)
}

/** Below 20 Hz a half period is longer than 25 ms and is heard as clicks: there one sound ends. */
const longestHalfPeriodSeconds = 0.025
/** Two neighbouring steps of a siren differ by some 5 %; jitter of a steady note stays under half of this. */
const pitchMoves = 0.03
const periodsToBeSure = 3

/** Where sounds begin and end: the cone rests, or the pitch has moved for several periods on end. */
export function soundSpans(edges: Float64Array, clockHz: number): Span[] {
  const spans: Span[] = []
  const rest = longestHalfPeriodSeconds * clockHz
  let from = 0
  let strays = 0
  for (let i = 1; i <= edges.length; i += 1) {
    const before = edges[i - 1] ?? 0
    const at = edges[i]
    if (at === undefined || at - before > rest) {
      spans.push({ from: edges[from] ?? 0, to: before + 1 })
      from = i
      strays = 0
      continue
    }
    const periods = (i - periodsToBeSure * 2 - from) / 2
    if (periods < 2) continue
    const settled = edges[i - periodsToBeSure * 2] ?? 0
    const mean = (settled - (edges[from] ?? 0)) / periods
    const period = at - (edges[i - 2] ?? 0)
    strays = Math.abs(period - mean) > pitchMoves * mean ? strays + 1 : 0
    if (strays === periodsToBeSure * 2 - 1) {
      const turn = i - periodsToBeSure * 2
      spans.push({ from: edges[from] ?? 0, to: (edges[turn] ?? 0) + 1 })
      from = turn
      strays = 0
    }
  }
  return spans
}

export function speakerLane(
  events: readonly BoardEvent[],
  clockHz: number,
  end: number,
  measure: (span: Span) => SpeakerMeasure,
): LaneOf<'speaker'> {
  const runs = speakerRuns(events, end)
  const sounds = soundSpans(runs.starts.slice(1), clockHz).map((span): Sound => {
    const { edges, frequencyHz, duty, jitterTStates } = measure(span)
    return { from: span.from, to: span.to, edges, frequencyHz, duty, jitterTStates }
  })
  return { kind: 'speaker', id: 'speaker', title: 'Speaker', runs, sounds }
}

export function keyLane(events: readonly BoardEvent[], end: number): LaneOf<'keys'> {
  const names = ['']
  const down: string[] = []
  const builder = new RunsBuilder()
  builder.append(0, 0)
  for (const event of events) {
    if (event.kind !== 'key') continue
    const place = down.indexOf(event.key)
    if (event.isDown && place < 0) down.push(event.key)
    if (!event.isDown && place >= 0) down.splice(place, 1)
    const name = down.join(' and ')
    const index = names.indexOf(name)
    builder.append(event.t, index >= 0 ? index : names.push(name) - 1)
  }
  return { kind: 'keys', id: 'keys', title: 'Keys', runs: builder.finish(end), names }
}

export function interruptLane(events: readonly BoardEvent[]): Lane {
  const marks = events.filter((event) => event.kind === 'interrupt' || event.kind === 'interrupt-lost')
  return {
    kind: 'marks',
    id: 'interrupts',
    title: 'Interrupts',
    times: Float64Array.from(marks, (event) => event.t),
    words: marks.map((event) => (event.kind === 'interrupt' ? 'taken' : 'lost: the one before was still waiting')),
  }
}
