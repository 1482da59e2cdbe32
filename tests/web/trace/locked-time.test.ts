import { describe, expect, test } from 'vitest'
import type { LockedPair, PlacedEvent } from '../../../core/diagnosis/index.ts'
import { LockedTime } from '../../../web/trace/model/locked-time.ts'

const at = (t: number): PlacedEvent => ({ event: { kind: 'click', level: 1 }, t, step: t, text: '' })
const pairs = (...times: readonly (readonly [found: number, wanted: number])[]): LockedPair[] =>
  times.map(([found, wanted]) => ({ found: at(found), wanted: at(wanted) }))

describe('two runs held together', () => {
  const lock = new LockedTime(pairs([100, 50], [300, 250]), 400, 300)

  test.each([
    [0, 0],
    [50, 25],
    [100, 50],
    [200, 150],
    [300, 250],
    [350, 275],
    [400, 300],
    [500, 400],
  ])('%i of the one is %i of the other, and back', (found, wanted) => {
    expect(lock.wantedAt(found)).toBe(wanted)
    expect(lock.foundAt(wanted)).toBe(found)
  })

  test('events that crossed are not held: time never runs backwards', () => {
    const crossed = new LockedTime(pairs([100, 200], [150, 120], [200, 220]), 400, 400)
    const times = Array.from({ length: 40 }, (_, i) => crossed.wantedAt(i * 10))
    expect(times).toEqual(times.toSorted((a, b) => a - b))
  })

  test('a stretch never becomes empty', () => {
    const span = lock.wantedSpan({ from: 100, to: 100.5 })
    expect(span.to - span.from).toBeGreaterThanOrEqual(1)
  })

  test('without an event starts and ends are held', () => {
    const bare = new LockedTime([], 200, 100)
    expect(bare.wantedAt(100)).toBe(50)
  })
})
