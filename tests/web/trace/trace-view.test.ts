import { beforeEach, describe, expect, test } from 'vitest'
import { TraceView } from '../../../web/trace/model/TraceView.svelte.ts'

let view: TraceView
beforeEach(() => {
  view = new TraceView({ steps: 1000, tStates: 8000 })
})

describe('where one looks in a run', () => {
  test('begins before the first instruction with the whole run in sight', () => {
    expect(view.step).toBe(0)
    expect(view.window).toEqual({ from: 0, to: 8000 })
    expect(view.magnification).toBe(1)
    expect(view.isAtStart).toBe(true)
  })

  test('a step outside the run is the nearest that exists', () => {
    expect(view.clamp(-3)).toBe(0)
    expect(view.clamp(5000)).toBe(1000)
    view.seek(5000, 9999)
    expect([view.step, view.t, view.isAtEnd]).toEqual([1000, 8000, true])
  })

  test('the window follows the step only when it leaves the window', () => {
    view.look({ from: 0, to: 1000 })
    view.seek(10, 80)
    expect(view.window).toEqual({ from: 0, to: 1000 })
    view.seek(500, 4000)
    expect(view.window.from).toBeLessThanOrEqual(4000)
    expect(view.window.to).toBeGreaterThan(4000)
    expect(view.window.to - view.window.from).toBeCloseTo(1000)
  })

  test('the end of the run can be seen', () => {
    view.look({ from: 0, to: 100 })
    view.seek(1000, 8000)
    expect(view.window).toEqual({ from: 7900, to: 8000 })
  })

  test('looking closer keeps the step in its place while it is in sight', () => {
    view.seek(250, 2000)
    view.zoom(0.5)
    expect(view.window).toEqual({ from: 1000, to: 5000 })
    view.showWhole()
    expect(view.window).toEqual({ from: 0, to: 8000 })
  })

  test('looking closer far from the step keeps the middle', () => {
    view.look({ from: 4000, to: 6000 })
    view.zoom(0.5)
    expect(view.window).toEqual({ from: 4500, to: 5500 })
  })

  test('moves by a share of the window', () => {
    view.look({ from: 1000, to: 2000 })
    view.pan(0.5)
    expect(view.window).toEqual({ from: 1500, to: 2500 })
  })

  test('a stretch is marked in either direction and kept within the run', () => {
    view.select(500, 200)
    expect(view.selection).toEqual({ from: 200, to: 500 })
    view.select(-100, 99_999)
    expect(view.selection).toEqual({ from: 0, to: 8000 })
    view.select(300, 300)
    expect(view.selection).toBeNull()
  })

  test('a run without a single T-state can be looked at', () => {
    const empty = new TraceView({ steps: 0, tStates: 0 })
    empty.zoom(0.5)
    expect(empty.window).toEqual({ from: 0, to: 1 })
    expect(empty.isAtStart && empty.isAtEnd).toBe(true)
  })
})
