import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { RunsBuilder, runsIn, strokes, valueAt } from '../../../web/trace/model/runs.ts'

/** `runs('0:1 10:2 30:1', 50)` */
function runs(notation: string, end: number) {
  const builder = new RunsBuilder()
  for (const pair of notation.split(' ')) {
    const [t, value] = pair.split(':').map(Number)
    builder.append(t ?? 0, value ?? 0)
  }
  return builder.finish(end)
}

const shown = (notation: string, end: number) => {
  const { starts, values } = runs(notation, end)
  return Array.from(starts, (start, i) => `${start}:${values[i]}`).join(' ')
}

describe('run-length data', () => {
  test('keeps only where the value changes', () => {
    expect(shown('0:1 5:1 10:2 12:2 30:1', 50)).toBe('0:1 10:2 30:1')
  })

  test('of two values at one T-state the later stands', () => {
    expect(shown('0:1 10:2 10:3 20:4', 50)).toBe('0:1 10:3 20:4')
    expect(shown('0:1 10:2 10:1 20:4', 50)).toBe('0:1 20:4')
  })

  test('a value holds up to the T-state before the next', () => {
    const data = runs('5:1 10:2', 20)
    expect([4, 5, 9, 10, 19, 20].map((t) => valueAt(data, t))).toEqual([null, 1, 1, 2, 2, null])
  })

  test('grows beyond its first size', () => {
    const builder = new RunsBuilder()
    for (let i = 0; i < 1000; i += 1) builder.append(i, i % 2)
    expect(builder.finish(1000).starts).toHaveLength(1000)
  })

  test('lists the runs of a window, cut to it, and counts what was left out', () => {
    const data = runs('0:1 10:2 20:3 30:4', 40)
    expect(runsIn(data, { from: 5, to: 25 }, 10)).toEqual({
      runs: [
        { from: 5, to: 10, value: 1 },
        { from: 10, to: 20, value: 2 },
        { from: 20, to: 25, value: 3 },
      ],
      left: 0,
    })
    expect(runsIn(data, { from: 10, to: 20 }, 10).runs).toEqual([{ from: 10, to: 20, value: 2 }])
    expect(runsIn(data, { from: 0, to: 40 }, 1)).toEqual({ runs: [{ from: 0, to: 10, value: 1 }], left: 3 })
  })
})

describe('strokes at the resolution of the screen', () => {
  test('a run wide enough is one stroke', () => {
    expect(strokes(runs('0:1 50:2', 100), { from: 0, to: 100 }, 200)).toEqual([
      { x: 0, width: 100, value: 1, low: 1, high: 1 },
      { x: 100, width: 100, value: 2, low: 2, high: 2 },
    ])
  })

  test('runs that share a pixel become one mixed stroke with their extremes', () => {
    const dense = runs(Array.from({ length: 1000 }, (_, t) => `${t}:${t % 2}`).join(' '), 1000)
    expect(strokes(dense, { from: 0, to: 1000 }, 10)).toEqual([{ x: 0, width: 10, value: null, low: 0, high: 1 }])
  })

  test('a short pulse between two long runs is not lost', () => {
    const drawn = strokes(runs('0:0 500:1 501:0', 1000), { from: 0, to: 1000 }, 10)
    expect(drawn.map((stroke) => [stroke.x, stroke.width, stroke.high])).toEqual([
      [0, 5, 0],
      [5, 1, 1],
      [6, 4, 0],
    ])
  })

  test('nothing is drawn after the end of the run', () => {
    expect(strokes(runs('0:1', 50), { from: 0, to: 100 }, 100)).toEqual([
      { x: 0, width: 50, value: 1, low: 1, high: 1 },
    ])
  })

  test('strokes never overlap, leave no gap and never exceed one a pixel, whatever the data', () => {
    const data = fc.array(fc.tuple(fc.integer({ min: 1, max: 40 }), fc.integer({ min: 0, max: 3 })), { minLength: 1 })
    fc.assert(
      fc.property(data, fc.integer({ min: 1, max: 300 }), (pairs, width) => {
        const builder = new RunsBuilder()
        let t = 0
        for (const [length, value] of pairs) {
          builder.append(t, value)
          t += length
        }
        const drawn = strokes(builder.finish(t), { from: 0, to: t }, width)
        expect(drawn.length).toBeLessThanOrEqual(width)
        let x = 0
        for (const stroke of drawn) {
          expect(stroke.x).toBe(x)
          x += stroke.width
        }
        expect(x).toBe(width)
        const high = Math.max(...drawn.map((stroke) => stroke.high))
        expect(high).toBe(Math.max(...pairs.map(([, value]) => value)))
      }),
    )
  })
})
