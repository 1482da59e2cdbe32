import type { SpeakerMeasure } from '../../../core/board/index.ts'
import { showByte, showWord } from '../../../core/image/index.ts'
import type { DigitLook, Lane, LaneRow, Sound } from './lane.ts'
import { type Run, indexAt, runsIn } from './runs.ts'
import type { Span } from './span.ts'
// Not through the index: a model that runs in a test must not pull in every component.
import { segmentWords } from '../../parts/segments.ts'
import { frequency, trimmed } from '../../machine/words.ts'

export interface LaneTable {
  readonly rows: readonly LaneRow[]
  /** Rows of the window that were not given because there are too many. */
  readonly left: number
}

/** What a lane says between two T-states, as sentences, at most `most` of them. */
export function laneTable(lane: Lane, span: Span, most: number): LaneTable {
  switch (lane.kind) {
    case 'digit':
      return worded(runsIn(lane.runs, span, most), (value) => digitWords(lane.looks[value]))
    case 'place':
      return worded(runsIn(lane.runs, span, most), (value) => lane.names[value] ?? 'unknown place')
    case 'keys':
      return worded(runsIn(lane.runs, span, most), (value) => keyWords(lane.names[value]))
    case 'depth':
      return worded(runsIn(lane.runs, span, most), depthWords)
    case 'value':
      return worded(runsIn(lane.runs, span, most), (value) => valueWords(value, lane.digits))
    case 'bits':
      return worded(runsIn(lane.runs, span, most), (value) => bitWords(value, lane))
    case 'speaker':
      return soundTable(lane.sounds, span, most)
    case 'marks':
      return markTable(lane.times, lane.words, span, most)
  }
}

function worded(
  found: { readonly runs: readonly Run[]; readonly left: number },
  say: (value: number) => string,
): LaneTable {
  return { rows: found.runs.map(({ from, to, value }) => ({ from, to, words: say(value) })), left: found.left }
}

export function digitWords(look: DigitLook | undefined): string {
  if (look === undefined || look.state === 'dark') return 'dark'
  const glyph = look.glyph === ' ' ? 'nothing' : look.glyph === '?' ? 'a pattern without a name' : look.glyph
  return `${glyph}, ${segmentWords(look.segments)}, ${look.state}`
}

function keyWords(name: string | undefined): string {
  return name === undefined || name === '' ? 'no key down' : `${name} down`
}

export function depthWords(bytes: number): string {
  if (bytes < 0) return `${-bytes} bytes above where it began`
  return bytes === 1 ? '1 byte in use' : `${bytes} bytes in use`
}

/** `4Fh, 79`, `FEh, 254 or −2`: a byte above 127 may be meant with a sign. */
export function valueWords(value: number, digits: 2 | 4): string {
  if (digits === 4) return `${showWord(value)}, ${value}`
  return `${showByte(value)}, ${value}${value > 127 ? ` or −${256 - value}` : ''}`
}

/** `segments a, b and c on`, `no lamp on`. */
export function bitWords(value: number, { noun, names }: Extract<Lane, { kind: 'bits' }>): string {
  const on = names.filter((_, bit) => ((value >> bit) & 1) === 1)
  const last = on.at(-1)
  if (last === undefined) return `no ${noun} on`
  return on.length === 1
    ? `${noun} ${last} on`
    : `${noun}${noun === 'switch' ? 'es' : 's'} ${on.slice(0, -1).join(', ')} and ${last} on`
}

export function soundWords(sound: Sound): string {
  if (sound.frequencyHz === null) return sound.edges === 1 ? 'one click' : `${sound.edges} clicks`
  const duty = sound.duty === null ? '' : `, high ${Math.round(sound.duty * 100)} % of the time`
  const jitter = sound.jitterTStates === null ? '' : `, half periods differ by up to ${sound.jitterTStates} T`
  return `${frequency(sound.frequencyHz)}, ${sound.edges} edges${duty}${jitter}`
}

/** `996.8 Hz, high 50 %, jitter 26 T`: short enough to stand on the drawing. */
export function measureWords({ frequencyHz, duty, jitterTStates }: SpeakerMeasure): string {
  const parts = [
    frequencyHz === null ? [] : [frequency(frequencyHz)],
    duty === null ? [] : [`high ${trimmed(duty * 100, 1)} %`],
    jitterTStates === null ? [] : [`jitter ${jitterTStates} T`],
  ]
  return parts.flat().join(', ')
}

function soundTable(sounds: readonly Sound[], span: Span, most: number): LaneTable {
  const rows: LaneRow[] = []
  let left = 0
  let at = span.from
  const add = (row: LaneRow) => (rows.length < most ? rows.push(row) : (left += 1))
  for (const sound of sounds) {
    if (sound.to < span.from || sound.from >= span.to) continue
    if (sound.from > at) add({ from: at, to: sound.from, words: 'silent' })
    add({ from: sound.from, to: sound.to, words: soundWords(sound) })
    at = sound.to
  }
  if (at < span.to) add({ from: at, to: span.to, words: 'silent' })
  return { rows, left }
}

function markTable(times: Float64Array, words: readonly string[], span: Span, most: number): LaneTable {
  const first = indexAt(times, span.from - 1) + 1
  const last = indexAt(times, span.to - 1)
  const rows: LaneRow[] = []
  for (let i = first; i <= last && rows.length < most; i += 1) {
    const at = times[i] ?? 0
    rows.push({ from: at, to: at, words: words[i] ?? '' })
  }
  return { rows, left: Math.max(0, last - first + 1 - rows.length) }
}
