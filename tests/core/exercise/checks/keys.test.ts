import { describe, expect, test } from 'vitest'
import type { BoardEvent } from '../../../../core/board/index.ts'
import { show } from '../sign-show.ts'
import { outcome, tryCheck, type MadeUp } from '../try-check.ts'

const press = (key: string, from: number) => ({ key, from, to: from + 100_000 })

describe('shown-after-key', () => {
  // '1' until a second key changes it to '2'; one digit, swept every 2,500 T without a pause.
  const fields = { signs: ['1', '2'], within: '50 ms' }
  const run = (delay: number): MadeUp => {
    const keys = [press('1', 0), press('2', 500_000)]
    const first = show([{ glyphs: '1', sweeps: 1, after: 0 }], 0)
    const hold = show([{ glyphs: '1', sweeps: 199 }], 2500)
    const second = show([{ glyphs: '2', sweeps: 200 }], 500_000 + delay)
    const between = show([{ glyphs: '1', sweeps: Math.floor(delay / 2500) }], 500_000)
    return {
      keys,
      events: [...first.events, ...hold.events, ...between.events, ...second.events],
      tStates: second.tStates,
    }
  }
  test('the sign may come at the limit and no later', () => {
    const at = (delay: number) => outcome('shown-after-key', fields, run(delay))
    expect([124_999, 125_000, 125_001].map(at)).toEqual(['passed', 'passed', 'out-of-tolerance'])
  })
  test('says after which key, how late, or what stood there instead', () => {
    expect(tryCheck('shown-after-key', fields, run(150_000))).toMatchObject({
      measured: 'shown after 60 ms',
      wanted: "'1', '2' after each of 2 keys, within 50 ms",
      tolerance: 'at most 50 ms',
      message: "After key 2 (2) it took 60 ms until '2' was shown; wanted at most 50 ms.",
    })
    expect(tryCheck('shown-after-key', { ...fields, signs: ['1', '3'] }, run(0)).message).toBe(
      "After key 2 (2) the digits showed '2'; wanted '3'.",
    )
  })
  test('it stays until the next key, unless it need not', () => {
    const keys = [press('1', 0)]
    const shown = show(
      [
        { glyphs: '1', sweeps: 100 },
        { glyphs: '2', sweeps: 100 },
      ],
      0,
    )
    const one = { signs: ['1'], within: '50 ms' }
    expect(tryCheck('shown-after-key', one, { ...shown, keys }).message).toBe(
      "After key 1 (1) '1' gave way to '2' before the next key; wanted it to stay.",
    )
    expect(outcome('shown-after-key', { ...one, stays: false }, { ...shown, keys })).toBe('passed')
  })
  test('a star is anything', () => {
    expect(outcome('shown-after-key', { ...fields, signs: ['*', '2'] }, run(0))).toBe('passed')
    expect(outcome('shown-after-key', { ...fields, signs: ['8', '2'] }, run(0))).toBe('failed')
  })
  test('a key that comes when the run has ended is said', () => {
    const keys = [press('1', 0), press('2', 900_000)]
    const verdict = tryCheck('shown-after-key', fields, { ...show([{ glyphs: '1', sweeps: 100 }], 0), keys })
    expect(verdict.message).toBe("Key 2 (2) came when the run had ended; wanted '2' after it.")
  })
})

describe('memory-after-key', () => {
  const write = (t: number, address: number, value: number): BoardEvent => ({
    ...{ kind: 'memory-write', t, pc: 0x4005 },
    ...{ address, value },
  })
  const fields = { at: '4600h', bytes: ['01', '02'], after: '1000 T' }
  const run = (second: number): MadeUp => ({
    keys: [press('1', 100), press('2', 5000)],
    events: [write(200, 0x4600, 1), write(second, 0x4600, 2)],
    tStates: 20_000,
  })
  test('a write at the very time counts, one T later does not', () => {
    const at = (t: number) => outcome('memory-after-key', fields, run(t))
    expect([5999, 6000, 6001].map(at)).toEqual(['passed', 'passed', 'failed'])
  })
  test('names the key, the place and the value, and the write that left it', () => {
    expect(tryCheck('memory-after-key', fields, run(6001))).toMatchObject({
      message: 'After key 2 (2) 4600h held 01; wanted 02.',
      at: { t: 200, address: 0x4005 },
    })
  })
  test('what stood there before counts until something is written', () => {
    const before = { memoryBefore: { 0x4600: [7, 8] }, keys: [press('1', 100)], tStates: 5000 }
    expect(outcome('memory-after-key', { at: '4600h', bytes: ['07 08'], after: 10 }, before)).toBe('passed')
    expect(outcome('memory-after-key', { at: '4600h', bytes: ['07 09'], after: 10 }, before)).toBe('failed')
  })
  test('a run that ends too early is said', () => {
    expect(outcome('memory-after-key', fields, { ...run(5500), tStates: 6000 })).toBe('passed')
    expect(tryCheck('memory-after-key', fields, { ...run(5500), tStates: 5999 }).message).toContain('had ended')
  })
})
