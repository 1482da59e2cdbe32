import { describe, expect, test } from 'vitest'
import { Random } from '../../../core/run/index.ts'
import { Shares } from '../../../web/trace/axis/shares.ts'
import { Peaks } from '../../../web/trace/model/peaks.ts'
import { RunsBuilder, strokes } from '../../../web/trace/model/runs.ts'

describe('the extremes of a stretch of runs', () => {
  test('are those that are found by looking at each', () => {
    const values = Int32Array.from({ length: 20_000 }, (_, i) => (i * 7919) % 9973)
    const peaks = new Peaks(values)
    for (const [first, after] of [
      [0, 1],
      [0, 64],
      [63, 65],
      [1, 20_000],
      [0, 20_000],
      [4095, 8193],
      [4096, 8192],
      [19_999, 20_000],
    ] as const) {
      const part = values.subarray(first, after)
      expect(peaks.within(first, after)).toEqual({ low: Math.min(...part), high: Math.max(...part) })
    }
  })
})

describe('a lane of many runs', () => {
  const random = new Random(20261125)
  const builder = new RunsBuilder()
  let t = 0
  for (let i = 0; i < 30_000; i += 1) {
    builder.append(t, random.byte())
    t += 1 + random.under(40)
  }
  const runs = builder.finish(t)
  const spans = [
    { from: 0, to: t },
    { from: t / 3, to: t / 2 },
    { from: 1000, to: 1064 },
  ]

  test('is drawn with the extremes of each pixel', () => {
    for (const span of spans) {
      const pixel = (span.to - span.from) / 500
      const single = strokes(runs, span, 500).filter(({ width }) => width === 1)
      for (const stroke of single.filter((_, i) => i % 29 === 0)) {
        const from = span.from + stroke.x * pixel
        const inside = [...runs.starts.keys()].filter(
          (i) => (runs.starts[i] ?? 0) < from + pixel && (runs.starts[i + 1] ?? runs.end) >= from,
        )
        for (const extreme of [stroke.low, stroke.high]) expect(inside.map((i) => runs.values[i])).toContain(extreme)
      }
    }
  })

  test('spends in each row of each pixel what it spends when counted run by run', () => {
    const shares = new Shares(runs, 8, (value) => value)
    for (const span of spans) {
      const width = 40
      const cover = shares.coverage(span, width)
      const pixel = (span.to - span.from) / width
      for (const x of [0, 17, width - 1]) {
        for (const row of [0, 5]) {
          const [from, to] = [span.from + x * pixel, Math.min(span.from + (x + 1) * pixel, runs.end)]
          let spent = 0
          runs.starts.forEach((start, i) => {
            const on = ((runs.values[i] ?? 0) >> row) & 1
            spent += on * Math.max(0, Math.min(to, runs.starts[i + 1] ?? runs.end) - Math.max(from, start))
          })
          expect(cover[row * width + x]).toBeCloseTo(spent / pixel, 5)
        }
      }
    }
  })
})
