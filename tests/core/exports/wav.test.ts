import { writeFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { benchEight, measureSpeaker, speakerEdges, type SpeakerEdges } from '../../../core/board/index.ts'
import { wavOf, type WavOptions } from '../../../core/exports/index.ts'
import { record } from '../../../core/run/index.ts'
import { request } from '../run/programs.ts'
import { has, inFolder, output } from './outside-tools.ts'

const second = benchEight.clockHz

/** An even tone with half periods of so many T-states, a second long. */
const tone = (half: number): SpeakerEdges => ({
  t: Array.from({ length: Math.floor(second / half) }, (_, k) => (k + 1) * half),
  firstLevel: 1,
})
const samplesOf = (wav: Uint8Array) =>
  Array.from({ length: (wav.length - 44) / 2 }, (_, i) => new DataView(wav.buffer).getInt16(44 + 2 * i, true))
const whole = (edges: SpeakerEdges, options?: WavOptions) => wavOf(edges, benchEight, { from: 0, to: second }, options)

/** How much of a frequency is in the sound, by multiplying it with one (Goertzel would do the same faster). */
function strength(samples: readonly number[], hz: number, sampleRate: number): number {
  let [x, y] = [0, 0]
  samples.forEach((sample, k) => {
    x += sample * Math.cos((2 * Math.PI * hz * k) / sampleRate)
    y += sample * Math.sin((2 * Math.PI * hz * k) / sampleRate)
  })
  return (2 * Math.hypot(x, y)) / samples.length
}

describe('the speaker as a WAV file', () => {
  // Field by field after Microsoft and IBM, Multimedia Programming Interface 1.0, 1991 (from memory).
  test('its header says PCM, one channel, 16 bit, and how long it is', () => {
    const wav = whole(tone(1250), { sampleRate: 48_000 })
    const view = new DataView(wav.buffer)
    const word = (at: number) => String.fromCharCode(...wav.subarray(at, at + 4))
    expect([0, 8, 12, 36].map(word)).toEqual(['RIFF', 'WAVE', 'fmt ', 'data'])
    expect(view.getUint32(4, true)).toBe(wav.length - 8)
    expect([16, 20, 22, 32, 34].map((at) => view.getUint16(at, true))).toEqual([16, 1, 1, 2, 16])
    expect([view.getUint32(24, true), view.getUint32(28, true)]).toEqual([48_000, 96_000])
    expect(view.getUint32(40, true)).toBe(wav.length - 44)
    expect(samplesOf(wav)).toHaveLength(48_000)
  })

  test('a tone has its frequency and odd harmonics as a square wave, and its level', () => {
    const samples = samplesOf(whole(tone(1250))).slice(4410)
    const at = (hz: number) => strength(samples, hz, 44_100) / 32_767
    // A square wave of height 0.25 has a first harmonic of 2/π · 0.25, a third of a third of that.
    expect(at(1000)).toBeCloseTo((0.25 * 2) / Math.PI, 3)
    expect(at(3000)).toBeCloseTo((0.25 * 2) / Math.PI / 3, 3)
    expect(at(2000)).toBeLessThan(0.001)
    expect(Math.max(...samples.map(Math.abs))).toBeLessThan(0.16 * 32_767)
  })

  test('a high tone brings no other tone with it: harmonics above half the sample rate do not come back down', () => {
    // 7,102 Hz: its seventh harmonic, 49,716 Hz, would be heard at 5,616 Hz.
    const samples = samplesOf(whole(tone(176))).slice(4410)
    const own = strength(samples, second / 352, 44_100)
    for (const harmonic of [5, 7, 9, 11, 13]) {
      const folded = Math.abs((((harmonic * second) / 352 + 22_050) % 44_100) - 22_050)
      expect(strength(samples, folded, 44_100)).toBeLessThan(own / 300)
    }
  })

  test('no edge is silence; a cone that stays where it went comes to rest', () => {
    expect(new Set(samplesOf(whole({ t: [], firstLevel: 1 })))).toEqual(new Set([0]))
    const samples = samplesOf(whole({ t: [second / 10], firstLevel: 1 }))
    expect(new Set(samples.slice(0, 4390))).toEqual(new Set([0]))
    expect(Math.max(...samples)).toBeGreaterThan(7000)
    expect(Math.abs(samples.at(-1) ?? 1)).toBeLessThan(2)
  })

  test('only what lies in the window is heard', () => {
    const edges = tone(1250)
    const part = samplesOf(wavOf(edges, benchEight, { from: second / 2, to: second * 0.75 }))
    expect(part).toHaveLength(11_025)
    expect(strength(part.slice(2000), 1000, 44_100)).toBeGreaterThan(4000)
    expect(wavOf(edges, benchEight, { from: 5, to: 5 })).toHaveLength(44)
    expect(samplesOf(wavOf(edges, benchEight, { from: 0, to: 400 * second }, { sampleRate: 8000 }))).toHaveLength(
      300 * 8000,
    )
  })

  test('a level of a half is the loudest, and nothing wraps around', () => {
    const loud = samplesOf(whole(tone(20), { level: 9 }))
    expect(Math.max(...loud)).toBeLessThanOrEqual(32_767)
    const square = samplesOf(whole(tone(12_500), { level: 0.5 }))
    square.forEach((sample, k) => expect(Math.abs(sample - (square[k - 1] ?? 0))).toBeLessThan(20_000))
  })

  test('a sample rate that no tool plays is refused', () => {
    for (const sampleRate of [7999, 192_001, NaN]) expect(() => whole(tone(1250), { sampleRate })).toThrow(RangeError)
    for (const sampleRate of [8000, 192_000]) expect(whole(tone(1250), { sampleRate }).length).toBe(44 + 2 * sampleRate)
  })
})

const sox = has('sox', '--version')
if (!sox) console.log('left out: the speaker measured by sox (it is not there)')
describe.skipIf(!sox)('sox measures', () => {
  /** Hz by sox, after it has taken out what lies below and above the first harmonic. */
  function measured(wav: Uint8Array, near: number, sampleRate: number): number {
    return inFolder((path) => {
      writeFileSync(path('tone.wav'), wav)
      const band = `${Math.round(near * 0.5)}-${Math.round(near * 1.5)}`
      const text = output(
        'sox',
        path('tone.wav'),
        '-n',
        'sinc',
        '-t',
        `${Math.round(near * 0.1)}`,
        band,
        'trim',
        '0.2',
        '0.6',
        'stat',
      )
      const rough = Number(/Rough\s+frequency:\s+(\d+)/.exec(text)?.[1])
      // It compares the differences between samples with the samples; of a sine these are 2 · sin(π · f / rate) times as high.
      return (sampleRate / Math.PI) * Math.asin((Math.PI * rough) / sampleRate)
    })
  }

  // Programs of the course's kinds: a loop that counts, and the firmware's BUZZ.
  test.each([
    ['94 rounds', 'LOOP: LD B,94 | DJNZ $ | XOR 1 | OUT (22H),A | JR LOOP'],
    ['93 rounds', 'LOOP: LD B,93 | DJNZ $ | XOR 1 | OUT (22H),A | JR LOOP'],
    ['216 rounds', 'LOOP: LD B,216 | DJNZ $ | XOR 1 | OUT (22H),A | JR LOOP'],
    ['BUZZ', 'LD HL,2000 | LD DE,48 | CALL BUZZ | HALT'],
    ['3 kHz', 'LOOP: LD B,29 | DJNZ $ | XOR 1 | OUT (22H),A | JR LOOP'],
  ])('%s: the frequency that the lane says, within half a percent', (_, program) => {
    const { events } = record(request(program, { budget: second }))
    const said = measureSpeaker(events, benchEight).frequencyHz ?? 0
    expect(said).toBeGreaterThan(300)
    for (const sampleRate of [44_100, 48_000]) {
      const heard = measured(
        wavOf(speakerEdges(events), benchEight, { from: 0, to: second }, { sampleRate }),
        said,
        sampleRate,
      )
      expect(Math.abs(heard / said - 1)).toBeLessThan(0.005)
    }
  })

  test('and finds the format that was written', () => {
    const format = inFolder((path) => {
      writeFileSync(path('tone.wav'), whole(tone(1250)))
      return output('sox', '--i', path('tone.wav'))
    })
    expect(format).toMatch(/Channels\s+: 1/)
    expect(format).toMatch(/Sample Rate\s+: 44100/)
    expect(format).toMatch(/Precision\s+: 16-bit/)
    expect(format).toMatch(/Duration\s+: 00:00:01.00 = 44100 samples/)
  })
})
