import { describe, expect, test } from 'vitest'
import { outcome, tone, tryCheck } from '../try-check.ts'

const halves = (count: number, length: number): readonly number[] => Array.from({ length: count }, () => length)

describe('speaker', () => {
  test('frequency passes at the limit of its tolerance and fails one T beyond', () => {
    // 1000 Hz ±1 % at 2.5 MHz: half periods of 1,237.6 to 1,262.6 T.
    const at = (length: number) =>
      outcome('speaker', { frequency: 1000 }, { events: tone(50, ...halves(99, length)), tStates: 1e6 })
    expect([1237, 1238, 1262, 1263].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('a tolerance in Hz includes its limit exactly', () => {
    // 1250 T are 1000 Hz, 1000 T are 1250 Hz.
    const events = tone(50, ...halves(99, 1000))
    expect(outcome('speaker', { frequency: 1000, frequencyWithin: '250 Hz' }, { events })).toBe('passed')
    expect(outcome('speaker', { frequency: 1000, frequencyWithin: '249.9 Hz' }, { events })).toBe('out-of-tolerance')
  })
  test('duration runs from the first edge to the last', () => {
    const at = (count: number) =>
      outcome(
        'speaker',
        { duration: '100000 T', durationWithin: '1000 T' },
        { events: tone(50, ...halves(count, 1000)), tStates: 1e6 },
      )
    expect([98, 99, 101, 102].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('edges are counted, the first one too', () => {
    const at = (count: number) =>
      outcome('speaker', { edges: 500, edgesWithin: '2 %' }, { events: tone(50, ...halves(count - 1, 1250)) })
    expect([489, 490, 510, 511].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('duty is the part of the time at level 1', () => {
    const wave = (high: number) => tone(50, ...Array.from({ length: 50 }, () => [high, 1000 - high]).flat())
    const at = (high: number) => outcome('speaker', { duty: 50 }, { events: wave(high) })
    expect([489, 490, 510, 511].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('jitter is the longest half period less the shortest', () => {
    const at = (long: number) => outcome('speaker', { maxJitter: '26 T' }, { events: tone(50, 1250, 1250, long, 1250) })
    expect([1250, 1276, 1277].map(at)).toEqual(['passed', 'passed', 'out-of-tolerance'])
  })
  test('the odd half period is where jitter is decided', () => {
    const verdict = tryCheck('speaker', { maxJitter: '26 T' }, { events: tone(50, 1250, 1250, 1277, 1250) })
    expect(verdict.at.t).toBe(50 + 1250 + 1250 + 1277)
  })
  test('the level at the end follows from the last edge', () => {
    expect(outcome('speaker', { endLevel: 0 }, { events: tone(50, 1250) })).toBe('passed')
    expect(outcome('speaker', { endLevel: 0 }, { events: tone(50, 1250, 1250) })).toBe('out-of-tolerance')
    expect(outcome('speaker', { endLevel: 0 }, {})).toBe('passed')
  })
  test('silence is said in words', () => {
    expect(tryCheck('speaker', { frequency: 1000 }, {}).message).toBe('The speaker gave no sound; wanted 1,000 Hz.')
  })
  test('from and to listen to a part of the run', () => {
    const events = [...tone(0, ...halves(9, 1000)), ...tone(100_000, ...halves(9, 2000))]
    const tStates = 200_000
    expect(outcome('speaker', { frequency: 625, from: 50_000 }, { events, tStates })).toBe('passed')
    expect(outcome('speaker', { frequency: 1250, to: 50_000 }, { events, tStates })).toBe('passed')
  })
})
