import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { closeGaps, covers, denseEnough, gapsBetween, union } from '../../../core/board/spans.ts'

/** Stretches with gaps between them, from lengths in turn. */
const spans = fc
  .array(fc.tuple(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 12 })), { maxLength: 12 })
  .map((pairs) => {
    let at = 0
    return pairs.flatMap(([gap, length]) => [(at += gap), (at += length)])
  })
const end = 300
const points = (list: readonly number[]) => Array.from({ length: end }, (_, t) => covers(list, t))

describe('stretches of time', () => {
  test('a union covers what any of them covers', () => {
    fc.assert(
      fc.property(spans, spans, spans, (a, b, c) => {
        const [inA, inB, inC] = [points(a), points(b), points(c)]
        expect(points(union([a, b, c]))).toEqual(inA.map((isIn, t) => isIn || inB[t] || inC[t]))
      }),
    )
  })

  test('closing gaps leaves those that are longer, and no others', () => {
    fc.assert(
      fc.property(spans, fc.integer({ min: 0, max: 12 }), (list, longest) => {
        const closed = closeGaps(list, longest)
        expect(gapsBetween(closed, 0, Infinity)).toEqual(gapsBetween(list, longest, Infinity))
      }),
    )
  })

  test('dense enough: a stretch is kept when some window that touches it is covered enough, tried at every place', () => {
    fc.assert(
      fc.property(spans, fc.integer({ min: 1, max: 40 }), fc.integer({ min: 1, max: 20 }), (list, window, least) => {
        const isIn = points(list)
        const kept: number[] = []
        for (let i = 0; i < list.length; i += 2) {
          const [start = 0, stop = 0] = list.slice(i, i + 2)
          let isKept = false
          for (let from = start - window + 1; from < stop; from++) {
            let covered = 0
            for (let t = Math.max(0, from); t < from + window; t++) if (isIn[t]) covered += 1
            isKept ||= covered >= least
          }
          if (isKept) kept.push(start, stop)
        }
        expect(denseEnough(list, window, least)).toEqual(kept)
      }),
    )
  })
})
