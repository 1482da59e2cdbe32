import { speakerEdges, type BoardEvent, type BoardProfile, type EventLog, type SpeakerEdges } from '../board/index.ts'
import type { TState } from '../cpu/index.ts'

export interface WavOptions {
  /** Samples a second, 8,000 to 192,000; default 44,100. */
  readonly sampleRate?: number
  /** Height of a step of the cone as part of the full scale, up to 0.5; default 0.25, some 12 dB below the loudest. */
  readonly level?: number
}

/** Longest sound, in seconds: five minutes are 26 MB. */
const longestSeconds = 300
/** A step is spread over so many samples on each side of its time. */
const reach = 16
/** Places between two samples for which its form is worked out. */
const phases = 64
/** Below this a cone that stays where it is fades to rest; no tone is heard there. */
const restHz = 10

/**
 * What the speaker did in a window of the run as a RIFF WAVE file: PCM, 16 bit, one channel. Every edge stands at its time
 * between the samples, to a 64th of one, and is band-limited, so that no tone appears that was not there. The cone's rest is silence: a
 * level that stays fades away.
 */
export function wavOf(
  sound: EventLog | Iterable<BoardEvent> | SpeakerEdges,
  profile: BoardProfile,
  window: { readonly from: TState; readonly to: TState },
  options: WavOptions = {},
): Uint8Array {
  const sampleRate = Math.round(options.sampleRate ?? 44_100)
  const level = Math.min(0.5, Math.max(0, options.level ?? 0.25))
  if (!(sampleRate >= 8_000 && sampleRate <= 192_000)) throw new RangeError(`${sampleRate} samples a second`)
  const seconds = Math.min(longestSeconds, Math.max(0, window.to - window.from) / profile.clockHz)
  const samples = new Float64Array(Math.round(seconds * sampleRate))
  const edges = 'firstLevel' in sound ? sound : speakerEdges(sound)
  layEdges(samples, edges, window.from, sampleRate / profile.clockHz)
  restoreCone(samples, sampleRate)
  return riff(samples, sampleRate, level)
}

/** Adds to each sample by how much the cone moves in it: 1 in all for an edge up, −1 for one down. */
function layEdges(
  samples: Float64Array,
  { t, firstLevel }: SpeakerEdges,
  from: TState,
  samplesPerTState: number,
): void {
  const form = stepForm()
  t.forEach((at, k) => {
    if (at < from) return
    const sign = (k % 2 === 0) === (firstLevel === 1) ? 1 : -1
    const place = (at - from) * samplesPerTState
    const sample = Math.floor(place)
    const phase = Math.round((place - sample) * phases)
    const row = form[phase] ?? []
    for (let i = -reach + 1; i <= reach; i++) {
      const to = sample + i
      // What would come before the start, comes at it: no edge is lost.
      if (to < samples.length)
        samples[Math.max(0, to)] = (samples[Math.max(0, to)] ?? 0) + sign * (row[i + reach - 1] ?? 0)
    }
  })
}

/**
 * For each phase the parts of a unit step that fall on the samples around it: a sinc at 0.9 of half the sample rate, under a
 * Blackman window, its sum made 1. Common practice in making square waves without aliases; the numbers are ours.
 */
function stepForm(): readonly (readonly number[])[] {
  return Array.from({ length: phases + 1 }, (_, phase) => {
    const row = Array.from({ length: 2 * reach }, (_, i) => {
      const x = i - reach + 1 - phase / phases
      const angle = Math.PI * 0.9 * x
      const sinc = x === 0 ? 1 : Math.sin(angle) / angle
      const window = 0.42 + 0.5 * Math.cos((Math.PI * x) / reach) + 0.08 * Math.cos((2 * Math.PI * x) / reach)
      return Math.abs(x) > reach ? 0 : sinc * window
    })
    const sum = row.reduce((total, part) => total + part, 0)
    return row.map((part) => part / sum)
  })
}

/** From movements to places, with a slow pull to the middle. */
function restoreCone(samples: Float64Array, sampleRate: number): void {
  const keep = Math.exp((-2 * Math.PI * restHz) / sampleRate)
  let place = 0
  for (let i = 0; i < samples.length; i++) {
    place = keep * place + (samples[i] ?? 0)
    samples[i] = place
  }
}

const headerBytes = 44

function riff(samples: Float64Array, sampleRate: number, level: number): Uint8Array {
  const dataBytes = 2 * samples.length
  const bytes = new Uint8Array(headerBytes + dataBytes)
  const view = new DataView(bytes.buffer)
  const text = (at: number, word: string) => {
    for (let i = 0; i < word.length; i++) bytes[at + i] = word.charCodeAt(i)
  }
  text(0, 'RIFF')
  view.setUint32(4, headerBytes - 8 + dataBytes, true)
  text(8, 'WAVE')
  text(12, 'fmt ')
  view.setUint32(16, 16, true)
  view.setUint16(20, 1, true)
  view.setUint16(22, 1, true)
  view.setUint32(24, sampleRate, true)
  view.setUint32(28, 2 * sampleRate, true)
  view.setUint16(32, 2, true)
  view.setUint16(34, 16, true)
  text(36, 'data')
  view.setUint32(40, dataBytes, true)
  samples.forEach((sample, i) => {
    const value = Math.round(sample * level * 32_767)
    view.setInt16(headerBytes + 2 * i, Math.max(-32_768, Math.min(32_767, value)), true)
  })
  return bytes
}
