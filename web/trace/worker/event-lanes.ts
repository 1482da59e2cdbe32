import {
  type BoardEvent,
  type BoardProfile,
  type DigitSpan,
  type EventLog,
  notesOf,
  speakerEdges,
} from '../../../core/board/index.ts'
import type { DigitLook, Lane, Sound } from '../model/lane.ts'
import { type Runs, RunsBuilder } from '../model/runs.ts'

type Events = EventLog | Iterable<BoardEvent>
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

export function speakerRuns(events: Events, end: number): Runs {
  const { t, firstLevel } = speakerEdges(events)
  const builder = new RunsBuilder()
  builder.append(0, 1 - firstLevel)
  t.forEach((at, i) => builder.append(at, i % 2 === 0 ? firstLevel : 1 - firstLevel))
  return builder.finish(end)
}

export function speakerLane(events: Events, board: BoardProfile, end: number): LaneOf<'speaker'> {
  const sounds = notesOf(events, board).map(({ from, to, edges, frequencyHz, duty, jitterTStates }): Sound => ({
    from,
    to: to + 1,
    edges,
    frequencyHz,
    duty,
    jitterTStates,
  }))
  return { kind: 'speaker', id: 'speaker', title: 'Speaker', runs: speakerRuns(events, end), sounds }
}

export function keyLane(events: Events, end: number): LaneOf<'keys'> {
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

export function interruptLane(events: Events): Lane {
  const marks = [...events].filter((event) => event.kind === 'interrupt' || event.kind === 'interrupt-lost')
  return {
    kind: 'marks',
    id: 'interrupts',
    title: 'Interrupts',
    times: Float64Array.from(marks, (event) => event.t),
    words: marks.map((event) => (event.kind === 'interrupt' ? 'taken' : 'lost: the one before was still waiting')),
  }
}
