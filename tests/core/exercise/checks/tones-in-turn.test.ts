import { describe, expect, test } from 'vitest'
import { benchEight, type BoardEvent } from '../../../../core/board/index.ts'
import { kindNamed } from '../../../../core/exercise/index.ts'
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
  test('each tone lasts as long as asked, from its first edge to its last; the half wave behind that may count', () => {
    const at = (count: number) =>
      outcome('tones-in-turn', { ...two, each: '50000 T', eachWithin: '1000 T' }, tune([1250, 40], [1000, count]))
    expect([47, 48, 51, 52].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('the silence between two may reach its limit', () => {
    const at = (gap: number) =>
      outcome('tones-in-turn', { ...two, maxGap: '5000 T' }, tune([1250, 40, gap], [1000, 40]))
    // Half a wave of 1250 T belongs to the tone before it.
    expect([6249, 6250, 6251].map(at)).toEqual(['passed', 'passed', 'out-of-tolerance'])
  })
  describe('a length for each tone, and for each silence', () => {
    // 40 half waves of 1250 T are 50,000 T, 60 of 1000 T as many and 10,000 more.
    const timed = { ...two, lengths: ['50000 T', '60000 T'], lengthsWithin: '1000 T' }
    const lengthAt = (first: number, second: number) =>
      outcome('tones-in-turn', timed, tune([1250, first], [1000, second]))
    test('each may reach its own limit, with the last half wave or without', () => {
      expect([58, 57, 61, 62].map((second) => lengthAt(40, second))).toEqual([
        ...['passed', 'out-of-tolerance', 'passed', 'out-of-tolerance'],
      ])
      expect([39, 38, 40, 41].map((first) => lengthAt(first, 60))).toEqual([
        ...['passed', 'out-of-tolerance', 'passed', 'out-of-tolerance'],
      ])
    })
    test('joined to the next tone there is no half wave to add', () => {
      const joined = (first: number) => ({
        events: tone(100, ...Array.from({ length: first }, () => 1250), ...Array.from({ length: 60 }, () => 1000)),
        tStates: 1e6,
      })
      const at = (first: number) => outcome('tones-in-turn', timed, joined(first))
      expect([39, 40, 41].map(at)).toEqual(['out-of-tolerance', 'passed', 'out-of-tolerance'])
    })
    test('a tone that may last any time is not measured', () => {
      const fields = { ...two, lengths: ['any', '60000 T'] }
      expect(outcome('tones-in-turn', fields, tune([1250, 400], [1000, 60]))).toBe('passed')
      expect(outcome('tones-in-turn', fields, tune([1250, 400], [1000, 70]))).toBe('out-of-tolerance')
    })
    test('a silence may reach its limits, from the last edge or from the end of its half wave', () => {
      const at = (gap: number) =>
        outcome(
          'tones-in-turn',
          { ...two, pauses: ['50000 T'], pausesWithin: '1000 T' },
          tune([1250, 40, gap], [1000, 40]),
        )
      expect([48_999, 49_000, 52_250, 52_251].map(at)).toEqual([
        ...['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'],
      ])
    })
    test('no silence at all between two, where a time says how far off that may be', () => {
      const fields = { ...two, pauses: ['0 T'], pausesWithin: '1 ms' }
      expect(outcome('tones-in-turn', fields, tune([1250, 40, 1400], [1000, 40]))).toBe('passed')
      expect(outcome('tones-in-turn', fields, tune([1250, 40, 5000], [1000, 40]))).toBe('out-of-tolerance')
    })
    test('where a silence may have any length, maxGap holds', () => {
      const three = { frequencies: [1000, 1250, 1000], pauses: ['20000 T', 'any'], maxGap: '5000 T' }
      const at = (second: number) =>
        outcome('tones-in-turn', three, tune([1250, 40, 20_000], [1000, 40, second], [1250, 40]))
      expect([5000, 8000].map(at)).toEqual(['passed', 'out-of-tolerance'])
    })
    test('says which tone or silence lasted how long, and what was allowed', () => {
      const fields = { ...two, lengths: ['20 ms', '30 ms'], pauses: ['10 ms'] }
      const verdict = (first: number, gap: number, second: number) =>
        tryCheck('tones-in-turn', fields, tune([1250, first, gap], [1000, second]))
      expect(verdict(40, 25_000, 75)).toMatchObject({
        outcome: 'passed',
        measured: '2 tones: 1,000 Hz for 20 ms, 9.5 ms of silence, 1,250 Hz for 30 ms',
        wanted:
          '2 tones: 1,000 Hz for 20 ms, 10 ms of silence, 1,250 Hz for 30 ms; pitches ±1 %, lengths ±5 %, silences ±5 %',
      })
      expect(verdict(40, 25_000, 90)).toMatchObject({
        message: 'Tone 2 of 2 lasts 90,000 T (36 ms); wanted 75,000 T (30 ms) ±5 %.',
        tolerance: '±5 %',
      })
      expect(verdict(40, 50_000, 75).message).toBe(
        'The silence before tone 2 lasts 48,750 T (19.5 ms); wanted 25,000 T (10 ms) ±5 %.',
      )
    })
    test('a list of another length, and two ways to say one thing, are refused', () => {
      const misfits = (fields: object) =>
        kindNamed('tones-in-turn')
          ?.read({ ...two, ...fields }, [], () => undefined)
          ?.misfits(benchEight)
      expect(misfits({ lengths: ['20 ms'] })).toEqual(['found 1 length for 2 frequencies, allowed one for each'])
      expect(misfits({ pauses: ['20 ms', 'any'] })).toEqual(['found 2 pauses for 2 frequencies, allowed one less'])
      expect(misfits({ lengths: ['20 ms', 'any'], each: '20 ms' })).toEqual([
        'found each and lengths, allowed one of them',
      ])
      expect(misfits({ pauses: ['0 ms'] })).toHaveLength(1)
      expect(misfits({ pauses: ['0 ms'], pausesWithin: '1 ms' })).toEqual([])
    })
  })
  describe('the share of tones that are right', () => {
    const scale = [1250, 1180, 1110, 1050, 990, 935, 880, 830]
    const eight = { frequencies: scale.map((half) => 1_250_000 / half), lengths: scale.map(() => '20 ms') }
    const waves = (half: number): readonly [number, number, number] => [half, Math.round(50_000 / half), 20_000]
    const share = (fields: object, ...halves: readonly number[]) =>
      tryCheck('tones-in-turn', fields, tune(...halves.map(waves))).parts?.()
    test('seven of eight, whether one is wrong, missing or too many', () => {
      expect(share(eight, ...scale)).toEqual({ right: 8, of: 8, before: 0 })
      expect(share(eight, ...scale.with(3, 700))).toMatchObject({ right: 7, of: 8 })
      expect(share(eight, ...scale.toSpliced(3, 1))).toMatchObject({ right: 7, of: 8 })
      expect(share(eight, ...scale.toSpliced(3, 0, 700))).toMatchObject({ right: 8, of: 9 })
      expect(share({ ...eight, rest: 'free' }, ...scale, 700)).toMatchObject({ right: 8, of: 8 })
      expect(share(eight)).toMatchObject({ right: 0, of: 8 })
    })
    test('a tone of the wrong length is not right, also behind one left out', () => {
      const tones = scale.map(waves)
      const long: readonly [number, number, number] = [880, 80, 20_000]
      const heard = tones.with(6, long).toSpliced(2, 1)
      expect(tryCheck('tones-in-turn', eight, tune(...heard)).parts?.()).toMatchObject({ right: 6, of: 8 })
    })
    test('a silence counts for the tone behind it, and a start that comes late for no other', () => {
      const pauses = scale.slice(1).map(() => '8 ms')
      const gapped = (gap: number) => scale.map(waves).with(2, [1110, 45, gap])
      const paused = { ...eight, pauses, pausesWithin: '1 ms' }
      expect(tryCheck('tones-in-turn', paused, tune(...gapped(40_000))).parts?.()).toMatchObject({ right: 7, of: 8 })
      let t = 100
      const starts = scale.map((half) => {
        const [, count, gap] = waves(half)
        const from = t
        t += half * count + gap
        return `${from} T`
      })
      const begun = { ...eight, starts, startsWithin: '100 T' }
      expect(tryCheck('tones-in-turn', begun, tune(...gapped(20_000))).parts?.()).toMatchObject({ right: 8, of: 8 })
      expect(tryCheck('tones-in-turn', begun, tune(...gapped(40_000))).parts?.()).toMatchObject({ right: 7, of: 8 })
    })
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
