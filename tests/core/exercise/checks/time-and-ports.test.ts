import { describe, expect, test } from 'vitest'
import type { BoardEvent } from '../../../../core/board/index.ts'
import { tone, outcome, tryCheck } from '../try-check.ts'

const write = (t: number, port: number, value: number): BoardEvent => ({
  kind: 'port-write',
  t,
  pc: 0x4005,
  port,
  value,
})

describe('ports', () => {
  const sent = (...values: readonly number[]) => ({ events: values.map((value, i) => write(100 * i, 0x24, value)) })
  const wants = (fields: object) => ({ port: '24h', ...fields })

  test('all: these values and no more, in this order', () => {
    const fields = wants({ values: '01 02 03' })
    expect(outcome('ports', fields, sent(1, 2, 3))).toBe('passed')
    expect(tryCheck('ports', fields, sent(1, 3, 2)).message).toBe('03h was written; wanted 02h as value 2 of 3.')
    expect(tryCheck('ports', fields, sent(1, 2)).message).toBe(
      'Only 2 values were written; wanted 03h as value 3 of 3.',
    )
    expect(tryCheck('ports', fields, sent(1, 2, 3, 4)).message).toBe(
      'After the 3 values 04h was written too; wanted no more.',
    )
  })
  test('first lets more follow, among lets others come between', () => {
    expect(outcome('ports', wants({ values: '01 02', match: 'first' }), sent(1, 2, 9))).toBe('passed')
    expect(outcome('ports', wants({ values: '01 02', match: 'first' }), sent(9, 1, 2))).toBe('failed')
    expect(outcome('ports', wants({ values: '01 02', match: 'among' }), sent(9, 1, 9, 2, 9))).toBe('passed')
    expect(outcome('ports', wants({ values: '01 02', match: 'among' }), sent(2, 9, 1))).toBe('failed')
  })
  test('the number of times may reach its limits and not pass them', () => {
    const at = (count: number) =>
      outcome('ports', wants({ min: 2, max: 4 }), sent(...Array.from({ length: count }, () => 1)))
    expect([1, 2, 4, 5].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('never means never, and other ports do not count', () => {
    expect(outcome('ports', wants({ max: 0 }), { events: [write(5, 0x22, 1)] })).toBe('passed')
    expect(tryCheck('ports', wants({ max: 0 }), sent(1))).toMatchObject({
      message: 'Port 24h was written 1 time; wanted never.',
      at: { t: 0, address: 0x4005 },
    })
  })
  test('only the bits of the mask count, and repeated values only where asked', () => {
    expect(outcome('ports', wants({ values: '01 02', mask: '0Fh' }), sent(0xf1, 0x32))).toBe('passed')
    expect(outcome('ports', wants({ values: '01 02', changes: true }), sent(1, 1, 2, 2))).toBe('passed')
    expect(outcome('ports', wants({ values: '01 02' }), sent(1, 1, 2, 2))).toBe('failed')
  })
  test('what is read counts by itself', () => {
    const read: BoardEvent = { kind: 'port-read', t: 5, pc: 0x4000, port: 0x25, value: 0x80 }
    expect(outcome('ports', { port: '25h', direction: 'read', min: 1 }, { events: [read] })).toBe('passed')
    expect(outcome('ports', { port: '25h', min: 1 }, { events: [read] })).toBe('out-of-tolerance')
  })
  test('from and to count a part of the run, `to` left out', () => {
    const at = (from: number, to: number) => outcome('ports', wants({ max: 1, min: 1, from, to }), sent(1, 2, 3))
    expect([at(100, 200), at(100, 201), at(101, 200)]).toEqual(['passed', 'out-of-tolerance', 'out-of-tolerance'])
  })
})

describe('lamps', () => {
  const lit = (...shown: readonly (readonly [value: number, t: number])[]) => ({
    events: shown.map(([value, t]) => write(t, 0x24, value)),
    tStates: 100_000,
  })
  test('patterns in turn, leftmost lamp first', () => {
    const fields = { patterns: ['*.......', '.*......'] }
    expect(outcome('lamps', fields, lit([0x80, 100], [0x40, 20_000]))).toBe('passed')
    expect(tryCheck('lamps', fields, lit([0x80, 100], [0x20, 20_000])).message).toBe(
      'Pattern 2 of 2 was ..*.....; wanted .*.......',
    )
    expect(tryCheck('lamps', fields, lit([0x80, 100])).message).toBe(
      'The lamps showed only 1 of 2 patterns; wanted .*...... next.',
    )
    expect(outcome('lamps', fields, lit([0x80, 100], [0x40, 20_000], [1, 40_000]))).toBe('failed')
    expect(outcome('lamps', { ...fields, rest: 'free' }, lit([0x80, 100], [0x40, 20_000], [1, 40_000]))).toBe('passed')
  })
  test('a pattern stands as long as asked', () => {
    const fields = { patterns: ['*.......', '.*......'], each: '10000 T', eachWithin: '1 %' }
    const at = (t: number) => outcome('lamps', fields, lit([0x80, 0], [0x40, t]))
    expect([9899, 9900, 10_100, 10_101].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('what stands for less than a millisecond is not seen', () => {
    const fields = { patterns: ['*.......', '.*......'] }
    const at = (time: number) => outcome('lamps', fields, lit([0x80, 0], [0xc0, 20_000], [0x40, 20_000 + time]))
    expect([2499, 2500].map(at)).toEqual(['passed', 'failed'])
  })
  test('at the end', () => {
    expect(outcome('lamps', { atEnd: '.......*' }, lit([0x80, 0], [1, 99_999]))).toBe('passed')
    expect(tryCheck('lamps', { atEnd: '........' }, lit([0x80, 0])).message).toBe(
      'At the end the lamps show *.......; wanted .........',
    )
    expect(outcome('lamps', { atEnd: '........' }, {})).toBe('passed')
  })
  describe('the share of patterns that are right', () => {
    const running = { patterns: ['*.......', '.*......', '..*.....', '...*....'], each: '10000 T', eachWithin: '1 %' }
    const values = [0x80, 0x40, 0x20, 0x10]
    const share = (fields: object, ...shown: readonly number[]) =>
      tryCheck('lamps', fields, lit(...shown.map((value, i): [number, number] => [value, 10_000 * i]))).parts?.()
    test('one wrong, one left out and one too many each cost one', () => {
      expect(share(running, ...values)).toEqual({ right: 4, of: 4, before: 0 })
      expect(share(running, ...values.with(1, 0x41))).toMatchObject({ right: 3, of: 4 })
      expect(share(running, ...values.toSpliced(1, 1))).toMatchObject({ right: 3, of: 4 })
      expect(share(running, ...values.toSpliced(1, 0, 0xff))).toMatchObject({ right: 4, of: 5 })
      expect(share(running)).toMatchObject({ right: 0, of: 4 })
    })
    test('a pattern that stands for another time is not right', () => {
      const verdict = tryCheck('lamps', running, lit([0x80, 0], [0x40, 12_000], [0x20, 22_000], [0x10, 32_000]))
      expect(verdict.parts?.()).toMatchObject({ right: 3, of: 4 })
    })
    test('dark before anything is written is nobody’s work', () => {
      const lead = { patterns: ['........', '*.......', '........'] }
      expect(share(lead)).toMatchObject({ right: 1, of: 3, before: 1 })
      expect(share(lead, 0, 0x80, 0)).toMatchObject({ right: 3, of: 3, before: 1 })
    })
    test('what stands at the end is one more, and alone each lamp is a part', () => {
      expect(share({ ...running, atEnd: '...*....' }, ...values)).toMatchObject({ right: 5, of: 5 })
      expect(share({ ...running, atEnd: '*......*' }, ...values)).toMatchObject({ right: 4, of: 5 })
      expect(share({ atEnd: '**......' }, 0x80)).toEqual({ right: 7, of: 8, before: 6, what: 'lamp' })
    })
  })
})

describe('interrupts', () => {
  const accepted = (...times: readonly number[]): BoardEvent[] =>
    times.map((t) => ({ kind: 'interrupt', t, pc: 0x4005 }))
  const lost = (t: number): BoardEvent => ({ kind: 'interrupt-lost', t })
  const ticks = (count: number) => ({
    events: accepted(...Array.from({ length: count }, (_, i) => 25_000 * (i + 1) + 10)),
  })

  test('so many are accepted, exactly or from so many to so many', () => {
    const exact = (count: number) => outcome('interrupts', { accepted: 10 }, ticks(count))
    expect([9, 10, 11].map(exact)).toEqual(['out-of-tolerance', 'passed', 'out-of-tolerance'])
    const near = (count: number) => outcome('interrupts', { atLeast: 8, atMost: 12 }, ticks(count))
    expect([7, 8, 12, 13].map(near)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('so many may be lost and no more', () => {
    const at = (count: number) =>
      outcome('interrupts', { maxLost: 1 }, { events: Array.from({ length: count }, (_, i) => lost(25_000 * (i + 2))) })
    expect([0, 1, 2].map(at)).toEqual(['passed', 'passed', 'out-of-tolerance'])
    expect(tryCheck('interrupts', { maxLost: 0 }, { events: [lost(50_000)] })).toMatchObject({
      message: '1 tick of the timer came while the one before still waited and was lost; wanted none.',
      at: { t: 50_000 },
    })
  })
  test('a tick waits no longer than allowed', () => {
    // Bench-8 ticks every 25,000 T.
    const at = (t: number) => outcome('interrupts', { maxDelay: 500 }, { events: accepted(25_010, t) })
    expect([50_499, 50_500, 50_501].map(at)).toEqual(['passed', 'passed', 'out-of-tolerance'])
    // The wait begins with the tick that was not lost.
    const late = { events: [lost(50_000), ...accepted(50_100)] }
    expect(tryCheck('interrupts', { maxDelay: 25_000 }, late).message).toContain('waited 25,100 T')
  })
  test('from and to count a part of the run', () => {
    expect(outcome('interrupts', { accepted: 2, from: 30_000, to: 80_000 }, ticks(10))).toBe('passed')
  })
})

describe('drift', () => {
  const changes = (times: readonly number[], values?: readonly number[]) => ({
    events: times.map((t, i): BoardEvent => ({
      kind: 'memory-write',
      t,
      pc: 0x4005,
      address: 0x4600,
      value: values?.[i] ?? i + 1,
    })),
    tStates: 20_000_000,
  })
  const fields = { address: '4600h', every: '1000000 T', times: 10, maxPpm: 100 }
  const evenly = (last: number) => [...Array.from({ length: 10 }, (_, i) => 1000 + i * 1_000_000), last]

  test('all together may be off by the limit and no more', () => {
    // 100 ppm of 10,000,000 T are 1,000 T.
    const at = (off: number) => outcome('drift', fields, changes(evenly(10_001_000 + off)))
    expect([-1001, -1000, 0, 1000, 1001].map(at)).toEqual([
      ...['out-of-tolerance', 'passed', 'passed', 'passed', 'out-of-tolerance'],
    ])
    const slack = (off: number) => outcome('drift', { ...fields, slack: '500 T' }, changes(evenly(10_001_000 + off)))
    expect([1500, 1501].map(slack)).toEqual(['passed', 'out-of-tolerance'])
  })
  test('says how far off it was', () => {
    expect(tryCheck('drift', fields, changes(evenly(10_003_000)))).toMatchObject({
      measured: '2,000 T (800 µs) too late (200 ppm)',
      tolerance: '±1,000 T (400 µs)',
      message:
        'After 10 times the change of the byte at 4600h came 2,000 T (800 µs) too late (200 ppm); wanted ±1,000 T (400 µs).',
    })
  })
  test('too few of them is said', () => {
    expect(tryCheck('drift', fields, changes(evenly(10_001_000).slice(0, 10))).message).toBe(
      'After the first change of the byte at 4600h came another 9 times; wanted 10.',
    )
    expect(outcome('drift', fields, {})).toBe('failed')
  })
  test('each one may be off by its own limit', () => {
    const at = (t: number) =>
      outcome('drift', { ...fields, times: 2, maxPpm: 1000, eachWithin: '300 T' }, changes([0, t, 2_000_000]))
    expect([999_699, 999_700, 1_000_300, 1_000_301].map(at)).toEqual([
      ...['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'],
    ])
  })
  test('the byte takes given values in turn; writing the same again is no change', () => {
    const inTurn = { address: '4600h', every: '1000 T', times: 2, maxPpm: 0, values: '08 09 10' }
    expect(outcome('drift', inTurn, changes([0, 1000, 1500, 2000], [8, 9, 9, 0x10]))).toBe('passed')
    expect(tryCheck('drift', inTurn, changes([0, 1000, 2000], [8, 9, 0x0a])).message).toBe(
      'The byte at 4600h became 0Ah as value 3 of 3; wanted 10h.',
    )
  })
  test('tones count by their beginnings', () => {
    const bell = (t: number) => tone(t, ...Array.from({ length: 20 }, () => 1420))
    const every = { tones: true, every: '1000000 T', times: 1, maxPpm: 100 }
    const at = (t: number) => outcome('drift', every, { events: [...bell(0), ...bell(t)], tStates: 2e6 })
    expect([999_899, 999_900, 1_000_100, 1_000_101].map(at)).toEqual([
      ...['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'],
    ])
  })
})
