import { describe, expect, test } from 'vitest'
import type { BoardEvent } from '../../../../core/board/index.ts'
import { outcome, tone, tryCheck } from '../try-check.ts'

/** Tones of `count` half periods of `half` T-states each, with `gap` T of silence after each. */
function tune(...tones: readonly (readonly [half: number, count: number, gap?: number])[]): {
  readonly events: readonly BoardEvent[]
  readonly tStates: number
} {
  const events: BoardEvent[] = []
  let t = 100
  for (const [half, count, gap = 10_000] of tones) {
    const edges = tone(t, ...Array.from({ length: count }, () => half))
    events.push(...edges)
    t = (edges.at(-1)?.t ?? t) + gap
  }
  return { events, tStates: t }
}

// At 2.5 MHz half a period of 1250 T is 1000 Hz, of 1000 T 1250 Hz.
const two = { frequencies: [1000, 1250] }

describe('tones-in-turn', () => {
  test('each tone may reach the limit of its tolerance and not pass it', () => {
    // 1250 Hz ±1 %: half periods of 990.1 to 1010.1 T.
    const at = (half: number) => outcome('tones-in-turn', two, tune([1250, 99], [half, 99]))
    expect([990, 991, 1010, 1011].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
    const hz = (within: string) =>
      outcome('tones-in-turn', { frequencies: [1250], frequencyWithin: within }, tune([1250, 99]))
    expect([hz('250 Hz'), hz('249 Hz')]).toEqual(['passed', 'out-of-tolerance'])
  })
  test('each tone lasts as long as asked, first edge to last', () => {
    const at = (count: number) =>
      outcome('tones-in-turn', { ...two, each: '50000 T', eachWithin: '1000 T' }, tune([1250, 40], [1000, count]))
    expect([48, 49, 51, 52].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('the silence between two may reach its limit', () => {
    const at = (gap: number) =>
      outcome('tones-in-turn', { ...two, maxGap: '5000 T' }, tune([1250, 40, gap], [1000, 40]))
    // Half a wave of 1250 T belongs to the tone before it.
    expect([6249, 6250, 6251].map(at)).toEqual(['passed', 'passed', 'out-of-tolerance'])
  })
  test('each begins at its time', () => {
    // The first begins at 100 T and lasts 50,000 T.
    const at = (gap: number) =>
      outcome(
        'tones-in-turn',
        { ...two, starts: ['0 T', '60000 T'], startsWithin: '100 T' },
        tune([1250, 40, gap], [1000, 40]),
      )
    expect([9799, 9800, 10_000, 10_001].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('rising and falling compare neighbours, and the same again is neither', () => {
    const wide = { frequencies: [1000, 1000], frequencyWithin: '50 %' }
    const at = (half: number, order: string) =>
      outcome('tones-in-turn', { ...wide, order }, tune([1250, 40], [half, 40]))
    expect([1249, 1250, 1251].map((half) => at(half, 'rising'))).toEqual([
      ...['passed', 'out-of-tolerance', 'out-of-tolerance'],
    ])
    expect([1249, 1250, 1251].map((half) => at(half, 'falling'))).toEqual([
      ...['out-of-tolerance', 'out-of-tolerance', 'passed'],
    ])
  })
  test('tones may follow each other without a silence', () => {
    const halves = [1250, 1193, 1139]
    const joined = tone(100, ...halves.flatMap((half) => Array.from({ length: 60 }, () => half)))
    const frequencies = halves.map((half) => 1_250_000 / half)
    const run = { events: joined, tStates: 1e6 }
    expect(outcome('tones-in-turn', { frequencies, maxGap: '0 T', order: 'rising' }, run)).toBe('passed')
    expect(outcome('tones-in-turn', { frequencies: frequencies.slice(1) }, run)).toBe('out-of-tolerance')
  })
  test('one too few and one too many are said', () => {
    expect(tryCheck('tones-in-turn', two, tune([1250, 40])).message).toBe('The speaker gave only 1 tone; wanted 2.')
    expect(tryCheck('tones-in-turn', two, {}).message).toBe('The speaker gave no tone; wanted 2.')
    const three = tune([1250, 40], [1000, 40], [2000, 40])
    expect(tryCheck('tones-in-turn', two, three).message).toBe('After the 2 tones came another of 625 Hz; wanted none.')
    expect(outcome('tones-in-turn', { ...two, rest: 'free' }, three)).toBe('passed')
  })
  test('says which tone was off, by what, and where', () => {
    const verdict = tryCheck('tones-in-turn', two, tune([1250, 40], [1100, 40]))
    expect(verdict).toMatchObject({
      outcome: 'out-of-tolerance',
      measured: '2 tones: 1,000, 1,136.4 Hz',
      wanted: '2 tones: 1,000, 1,250 Hz ±1 %',
      tolerance: '±1 %',
      message: 'Tone 2 of 2 has 1,136.4 Hz; wanted 1,250 Hz ±1 %.',
      at: { t: 100 + 40 * 1250 + 10_000, address: 0x4004 },
    })
  })
  test('from and to listen to a part of the run', () => {
    const run = tune([1250, 40], [1000, 40])
    expect(outcome('tones-in-turn', { frequencies: [1250], from: 55_000 }, run)).toBe('passed')
    expect(outcome('tones-in-turn', { frequencies: [1000], to: 55_000 }, run)).toBe('passed')
  })
})
