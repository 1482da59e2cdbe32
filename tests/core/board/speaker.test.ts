import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { benchEight, measureSpeaker, notesOf, speakerEdges } from '../../../core/board/index.ts'
import { toneEvents } from './made-events.ts'

const f = benchEight.clockHz

describe('measuring a tone', () => {
  // Domain page §3.1: half period 13n + 32 T of the tone loop; UM0080 timing.
  test.each([
    [94, 996.81],
    [93, 1007.25],
    [216, 440.14],
  ])('the tone loop with n = %i sounds at %f Hz', (n, hz) => {
    expect(measureSpeaker(toneEvents(100, 13 * n + 32, 500), benchEight).frequencyHz).toBeCloseTo(hz, 2)
  })

  // Outside check: tests/fixtures/reference/pitch.csv, computed for equal temperament with A4 = 440 Hz (ISO 16).
  const pitches = readFileSync(join(import.meta.dirname, '../../fixtures/reference/pitch.csv'), 'utf8')
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','))
  test.each(pitches)('midi %s, %s: half a period from the table sounds at its pitch', (_midi, _name, hz, halfUs) => {
    const half = Math.round((Number(halfUs) * f) / 1e6)
    const measured = measureSpeaker(toneEvents(0, half, 100), benchEight).frequencyHz ?? 0
    // Half a T-state of rounding in each half period.
    expect(Math.abs(measured / Number(hz) - 1)).toBeLessThanOrEqual(0.5 / (half - 0.5))
  })

  test('250 ms of 1000 Hz have 500 edges, 249.5 ms apart, and a duty of one half', () => {
    expect(measureSpeaker(toneEvents(1000, 1250, 499), benchEight)).toEqual({
      edges: 500,
      from: 1000,
      to: 1000 + 499 * 1250,
      frequencyHz: 1000,
      durationTStates: 499 * 1250,
      duty: 0.5,
      jitterTStates: 0,
      steadyHz: 1000,
      steadyDuty: 0.5,
    })
  })

  test('a lopsided tone has its duty and its jitter', () => {
    const t = [0, 300, 1000, 1300, 2000, 2300]
    expect(measureSpeaker({ t, firstLevel: 1 }, benchEight)).toMatchObject({ duty: 0.3, jitterTStates: 400 })
    expect(measureSpeaker({ t, firstLevel: 0 }, benchEight)).toMatchObject({ duty: 0.7 })
  })

  test('only the edges of the window count, its end excluded', () => {
    const events = toneEvents(0, 1000, 10)
    expect(measureSpeaker(events, benchEight, { from: 1000, to: 4000 })).toMatchObject({
      edges: 3,
      from: 1000,
      to: 3000,
    })
    expect(measureSpeaker(speakerEdges(events), benchEight, { from: 1000, to: 5001 })).toMatchObject({
      edges: 5,
      duty: 0.5,
    })
    expect(speakerEdges(events, { from: 1000, to: 4000 })).toEqual({ t: [1000, 2000, 3000], firstLevel: 0 })
  })

  test('with one edge there is no pitch, with none not even a place', () => {
    expect(measureSpeaker(toneEvents(700, 1, 0), benchEight)).toMatchObject({ edges: 1, from: 700, frequencyHz: null })
    expect(measureSpeaker([], benchEight, { from: 50, to: 90 })).toEqual({
      ...{ edges: 0, from: 50, to: 50, frequencyHz: null, durationTStates: 0, duty: null, jitterTStates: null },
      ...{ steadyHz: null, steadyDuty: null },
    })
  })
})

describe('parting notes', () => {
  test('a silence parts two notes of one pitch', () => {
    const events = [...toneEvents(0, 1250, 99), ...toneEvents(300_000, 1250, 99)]
    expect(notesOf(events, benchEight).map(({ from, edges, gapTStates }) => [from, edges, gapTStates])).toEqual([
      [0, 100, 0],
      [300_000, 100, 300_000 - 99 * 1250],
    ])
  })

  test('a change of pitch parts them without a silence, at the edge where it changes', () => {
    const low = toneEvents(0, 3125, 80)
    const high = toneEvents(80 * 3125, 1562, 100).slice(1)
    const notes = notesOf([...low, ...high], benchEight)
    expect(notes.map(({ from, to, gapTStates }) => [from, to, gapTStates])).toEqual([
      [0, 250_000, 0],
      [250_000, 250_000 + 156_200, 0],
    ])
    expect(notes.map(({ frequencyHz }) => Math.round(frequencyHz ?? 0))).toEqual([400, 800])
  })

  test('a siren of 16 equal-ratio steps from 400 to 800 Hz is sixteen notes', () => {
    // Domain page, exercise D3: steps of ×1.0473, 50 ms each, gaps up to 2 ms.
    for (const gap of [0, 2000, 5000]) {
      const wanted = Array.from({ length: 16 }, (_, k) => 400 * 2 ** (k / 15))
      let t = 0
      const edges: number[] = []
      for (const hz of wanted) {
        const half = Math.round(f / (2 * hz))
        if (edges.length === 0 || gap > 0) edges.push(t)
        for (let k = 0; k < Math.round(125_000 / half); k++) edges.push((t += half))
        t += gap
      }
      const notes = notesOf({ t: edges, firstLevel: 1 }, benchEight)
      expect(notes).toHaveLength(16)
      notes.forEach(({ frequencyHz }, k) => expect((frequencyHz ?? 0) / (wanted[k] ?? 1)).toBeCloseTo(1, 2))
      // A pause as long as half a wave of the next note cannot be told from one.
      const gaps = new Set(notes.slice(1).map(({ gapTStates }) => gapTStates))
      expect([...gaps].filter((found) => found !== 0)).toEqual(gap === 0 ? [] : [gap])
    }
  })

  test('a lopsided tone and a tone with a late edge are one note each', () => {
    const lopsided = Array.from({ length: 60 }, (_, k) => 1000 * k + (k % 2) * 300)
    expect(notesOf({ t: lopsided, firstLevel: 1 }, benchEight)).toHaveLength(1)
    const spiky = Array.from({ length: 60 }, (_, k) => 2495 * (k >> 1) + (k % 2) * 34)
    expect(notesOf({ t: spiky, firstLevel: 0 }, benchEight)).toMatchObject([{ edges: 60 }])
    const late = Array.from({ length: 60 }, (_, k) => 1000 * k + (k === 30 ? 60 : 0))
    expect(notesOf({ t: late, firstLevel: 1 }, benchEight)).toHaveLength(1)
  })

  test('a single click is a note without pitch', () => {
    expect(notesOf(toneEvents(5, 1, 0), benchEight)).toMatchObject([{ edges: 1, frequencyHz: null, gapTStates: 0 }])
    expect(notesOf([], benchEight)).toEqual([])
  })
})
