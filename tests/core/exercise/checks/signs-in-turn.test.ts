import { describe, expect, test } from 'vitest'
import { show } from '../sign-show.ts'
import { outcome, tryCheck } from '../try-check.ts'

// Two digits of 2,500 T each: a sweep is 5,000 T, 2 ms. 100 sweeps are 500,000 T.
const three = ['12', '23', '34']
const turn = (glyphs: string, more: { sweeps?: number; pause?: number; after?: number } = {}) => ({
  ...{ glyphs, sweeps: 100 },
  ...more,
})

describe('signs-in-turn', () => {
  test('passes when just these signs follow each other', () => {
    expect(outcome('signs-in-turn', { signs: three }, show(three.map((each) => turn(each))))).toBe('passed')
  })
  test('names the first sign that is another one, missing, or one too many', () => {
    const message = (...shown: readonly string[]) =>
      tryCheck('signs-in-turn', { signs: three }, show(shown.map((each) => turn(each)))).message
    expect(message('12', '24', '34')).toBe("Sign 2 of 3 was '24'; wanted '23'.")
    expect(message('12', '23')).toBe("The digits showed only 2 of 3 signs; wanted '34' next.")
    expect(message()).toBe("The digits showed none of 3 signs; wanted '12' next.")
    expect(message('12', '23', '34', '45')).toBe("After the last sign came '45'; wanted none.")
    const more = show(['12', '23', '34', '45'].map((each) => turn(each)))
    expect(outcome('signs-in-turn', { signs: three, rest: 'free' }, more)).toBe('passed')
  })
  test('each stands as long as asked, from its beginning to that of the next', () => {
    const fields = { signs: three, each: '500000 T', eachWithin: '10000 T' }
    const at = (sweeps: number, after = 0) =>
      outcome('signs-in-turn', fields, show([turn('12'), turn('23', { sweeps, after }), turn('34')]))
    expect([at(97, 4999), at(98), at(102), at(102, 1)]).toEqual([
      ...['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'],
    ])
  })
  test('the last sign may stand for any time unless it is asked for', () => {
    const fields = { signs: three, each: '500000 T', eachWithin: '10000 T' }
    const run = show([turn('12'), turn('23'), turn('34', { sweeps: 150 })])
    expect(outcome('signs-in-turn', fields, run)).toBe('passed')
    expect(outcome('signs-in-turn', { ...fields, lastFree: false }, run)).toBe('out-of-tolerance')
  })
  test('a sign twice over stands twice as long', () => {
    const fields = { signs: ['12', '12', '34'], each: '500000 T', eachWithin: '1 %' }
    const at = (sweeps: number) => outcome('signs-in-turn', fields, show([turn('12', { sweeps }), turn('34')]))
    expect([197, 198, 200, 202, 203].map(at)).toEqual([
      ...['out-of-tolerance', 'passed', 'passed', 'passed', 'out-of-tolerance'],
    ])
  })
  test('a gap of 16.7 ms is steady, a longer one flickers', () => {
    // A digit is lit 2,500 T and dark for the other digit and the pause: 41,750 T are 16.7 ms.
    const at = (gap: number) =>
      tryCheck('signs-in-turn', { signs: three }, show(three.map((each) => turn(each, { pause: gap - 2500 }))))
    expect([41_750, 41_751].map((gap) => at(gap).outcome)).toEqual(['passed', 'out-of-tolerance'])
    expect(at(41_751).message).toContain('flickers; wanted it steady')
    const fields = { signs: three, steady: false }
    expect(outcome('signs-in-turn', fields, show(three.map((each) => turn(each, { pause: 60_000 }))))).toBe('passed')
  })
  test('each sign is swept fast enough', () => {
    // 2,500,000 / 60 = 41,666.7 T a sweep; a sweep of two digits is lit for 5,000 T.
    const at = (pause: number) =>
      outcome('signs-in-turn', { signs: three, minRefresh: 60 }, show([turn('12'), turn('23', { pause }), turn('34')]))
    expect([36_666, 36_667].map(at)).toEqual(['passed', 'out-of-tolerance'])
  })
  test('what stands for less than `shortest` is a change between two signs', () => {
    const at = (sweeps: number) =>
      outcome(
        'signs-in-turn',
        { signs: ['12', '34'], shortest: '50000 T' },
        show([turn('12'), turn('88', { sweeps }), turn('34')]),
      )
    // '88' stands from the second digit's first light to the next sign's first digit: 2,500 T less than its sweeps.
    expect([10, 11].map(at)).toEqual(['passed', 'failed'])
  })
  test('a blank sign is a dark display, at either end too', () => {
    const dark = { glyphs: '  ', sweeps: 100 }
    const signs = ['  ', '12', '  ']
    expect(outcome('signs-in-turn', { signs }, show([dark, turn('12'), dark]))).toBe('passed')
    expect(outcome('signs-in-turn', { signs: ['12', '  ', '34'] }, show([turn('12'), dark, turn('34')]))).toBe('passed')
    expect(outcome('signs-in-turn', { signs: ['12', '34'] }, show([turn('12'), dark, turn('34')]))).toBe('failed')
  })
  test('may look at some digits only', () => {
    const run = show(['A12', 'b23'].map((each) => turn(each)))
    expect(outcome('signs-in-turn', { signs: ['12', '23'], digit: 2 }, run)).toBe('passed')
    expect(outcome('signs-in-turn', { signs: ['12', '23'] }, run)).toBe('failed')
  })
})
