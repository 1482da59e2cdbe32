import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { benchEight, notesOf, pitchNear, type Note } from '../../../core/board/index.ts'
import { seed } from '../run/programs.ts'

const f = benchEight.clockHz
const drawn = { seed, numRuns: 150 }
/** A hundred ticks a second, as Bench-8 has. */
const tickEvery = 25_000

/**
 * The edges of a tone whose halves take `high` and `low` T-states in turn, on a machine with a timer: a half wave in which
 * a tick falls takes `handler` T-states more. `phase` is when the first tick comes.
 */
function ticked(halves: readonly number[], phase: number, handler: number, from = 0): number[] {
  const edges = [from]
  let t = from
  let tick = phase
  while (tick <= from) tick += tickEvery
  for (const half of halves) {
    let until = t + half
    for (; tick < until; tick += tickEvery) until += handler
    edges.push((t = until))
  }
  return edges
}

/** An ear hears how many waves come in a second: off by what ticks take, and by hardly more than that at any phase. */
function expectPitch(note: Note, hz: number, handler: number): void {
  const heard = pitchNear(note, hz) / hz
  expect(heard).toBeLessThan(1 + handler / tickEvery + 0.012)
  expect(heard).toBeGreaterThan(1 - handler / tickEvery - 0.012)
}

const parts = (t: readonly number[]) => notesOf({ t, firstLevel: 1 }, benchEight)
const same = (half: number, count: number) => Array.from({ length: count }, () => half)

const tone = fc.record({
  half: fc.integer({ min: 250, max: 6250 }),
  /** Part of the wave at level 1. */
  duty: fc.double({ min: 0.05, max: 0.95, noNaN: true }),
  count: fc.integer({ min: 20, max: 400 }),
  phase: fc.nat(tickEvery),
  handler: fc.integer({ min: 0, max: 500 }),
})

describe('a tone is one note', () => {
  test('whatever the timer takes out of it, at any phase, at any duty', () => {
    fc.assert(
      fc.property(tone, ({ half, duty, count, phase, handler }) => {
        const high = Math.max(20, Math.round(2 * half * duty))
        const low = Math.max(20, 2 * half - high)
        const halves = Array.from({ length: count }, (_, k) => (k % 2 === 0 ? high : low))
        const notes = parts(ticked(halves, phase, handler))
        expect(notes).toHaveLength(1)
        const hz = f / (high + low)
        const [note] = notes
        if (note === undefined) return
        expect(note.edges).toBe(count + 1)
        expectPitch(note, hz, handler)
      }),
      drawn,
    )
  })

  test('with a first half wave and a last of any length up to twice the others', () => {
    fc.assert(
      fc.property(tone, fc.nat(100), fc.nat(100), ({ half, count, phase, handler }, a, b) => {
        const first = Math.round((half * (a + 20)) / 60)
        const last = Math.round((half * (b + 20)) / 60)
        const notes = parts(ticked([first, ...same(half, count), last], phase, handler))
        expect(notes).toHaveLength(1)
        const [note] = notes
        if (note === undefined) return
        expectPitch(note, f / (2 * half), handler)
      }),
      drawn,
    )
  })

  test('with a late edge anywhere', () => {
    for (let at = 1; at < 60; at++) {
      const t = Array.from({ length: 60 }, (_, k) => 1250 * k + (k === at ? 300 : 0))
      expect(parts(t)).toHaveLength(1)
    }
  })
})

describe('what an ear hears parts notes', () => {
  test('a change of pitch by 2.5 % or more, either way, at any phase', () => {
    fc.assert(
      fc.property(tone, fc.integer({ min: 25, max: 400 }), fc.boolean(), (one, thousandths, isHigher) => {
        const half = Math.max(400, one.half)
        const other = Math.round(isHigher ? half / (1 + thousandths / 1000) : half * (1 + thousandths / 1000))
        const handler = Math.min(one.handler, 300)
        const halves = [...same(half, one.count), ...same(other, one.count)]
        const edges = ticked(halves, one.phase, handler)
        const notes = parts(edges)
        expect(notes).toHaveLength(2)
        // Where it changes, to two half waves.
        const turn = notes[1]?.from ?? 0
        expect(Math.abs(edges.indexOf(turn) - one.count)).toBeLessThanOrEqual(2)
      }),
      drawn,
    )
  })

  test('a whole wave left out below 2 kHz, and a pause of 3 ms between two tones of one pitch', () => {
    for (const hz of [100, 250, 440, 880, 1000, 1900]) {
      const half = Math.round(f / (2 * hz))
      for (let at = 3; at < 50; at++) {
        const gone = [...same(half, at), 3 * half, ...same(half, 50 - at)]
        expect(parts(ticked(gone, 7000, 0)), `${hz} Hz, wave ${at} left out`).toHaveLength(2)
        if (hz < 400) continue
        const pause = [...same(half, at), half + 7500, ...same(half, 50 - at)]
        expect(parts(ticked(pause, 7000, 300)), `${hz} Hz, a pause before wave ${at}`).toHaveLength(2)
      }
    }
  })

  test('a whole wave too many', () => {
    const half = 1250
    for (let at = 4; at < 40; at++) {
      const doubled = [...same(half, at), ...same(half / 2, 4), ...same(half, 44 - at)]
      expect(parts(ticked(doubled, 7000, 0)).length).toBeGreaterThan(1)
    }
  })
})

test('a tone off by a tenth of a percent more than 1 % is never within 1 %, at any phase', () => {
  for (const hz of [200, 440, 880, 1000, 2000])
    for (const side of [-1, 1])
      for (let phase = 0; phase < tickEvery; phase += tickEvery / 16) {
        const wave = f / (hz * (1 + side * 0.0115))
        // Halves that are off by less than a T-state in the long run.
        const halves = Array.from(
          { length: 400 },
          (_, k) => Math.floor(((k + 1) * wave) / 2) - Math.floor((k * wave) / 2),
        )
        const [note] = parts(ticked(halves, phase, 0))
        if (note === undefined) throw new Error('a tone is a note')
        expect(Math.abs(pitchNear(note, hz) / hz - 1)).toBeGreaterThan(0.01)
      }
})
