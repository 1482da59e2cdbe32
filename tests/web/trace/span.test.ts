import { describe, expect, test } from 'vitest'
import { clampSpan, narrowest, panSpan, spanShowing, zoomSpan } from '../../../web/trace/model/span.ts'

const whole = { from: 0, to: 1000 }

describe('a window on the time axis', () => {
  test('stays in the run, its length kept', () => {
    expect(clampSpan({ from: -50, to: 50 }, whole)).toEqual({ from: 0, to: 100 })
    expect(clampSpan({ from: 950, to: 1050 }, whole)).toEqual({ from: 900, to: 1000 })
  })

  test('is never wider than the run nor narrower than sixteen T-states', () => {
    expect(clampSpan({ from: -10, to: 5000 }, whole)).toEqual(whole)
    expect(clampSpan({ from: 500, to: 501 }, whole)).toEqual({ from: 500, to: 500 + narrowest })
    expect(clampSpan({ from: 3, to: 4 }, { from: 0, to: 7 })).toEqual({ from: 0, to: 7 })
  })

  test('looking closer keeps the T-state under the pointer under the pointer', () => {
    const span = zoomSpan({ from: 0, to: 1000 }, 0.5, 250, whole)
    expect(span).toEqual({ from: 125, to: 625 })
    expect((250 - span.from) / (span.to - span.from)).toBe(0.25)
  })

  test('looking closer and back again is where it was', () => {
    const span = { from: 100, to: 500 }
    expect(zoomSpan(zoomSpan(span, 0.25, 300, whole), 4, 300, whole)).toEqual(span)
  })

  test('moves by T-states and stops at the ends', () => {
    expect(panSpan({ from: 100, to: 200 }, 50, whole)).toEqual({ from: 150, to: 250 })
    expect(panSpan({ from: 100, to: 200 }, -500, whole)).toEqual({ from: 0, to: 100 })
  })

  test('follows a T-state only when it is out of sight', () => {
    const span = { from: 100, to: 400 }
    expect(spanShowing(span, 399, whole)).toBe(span)
    expect(spanShowing(span, 700, whole)).toEqual({ from: 600, to: 900 })
    expect(spanShowing(span, 0, whole)).toEqual({ from: 0, to: 300 })
  })
})
