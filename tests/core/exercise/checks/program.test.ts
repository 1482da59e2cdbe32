import { describe, expect, test } from 'vitest'
import { outcome, tryCheck } from '../try-check.ts'

describe('size', () => {
  const bytes = (count: number) => ({ bytes: Array.from({ length: count }, () => 0) })
  test('the limit passes, one byte more does not', () => {
    expect(outcome('size', { max: 12 }, bytes(11))).toBe('passed')
    expect(outcome('size', { max: 12 }, bytes(12))).toBe('passed')
    expect(outcome('size', { max: 12 }, bytes(13))).toBe('out-of-tolerance')
  })
  test('a lower limit counts in the same way', () => {
    expect(outcome('size', { max: 12, min: 8 }, bytes(8))).toBe('passed')
    expect(outcome('size', { max: 12, min: 8 }, bytes(7))).toBe('out-of-tolerance')
  })
})

describe('program-bytes', () => {
  const sheet = { want: [{ at: '4000h', bytes: '3E 05 76' }] }
  test('passes on exactly these bytes', () => {
    expect(outcome('program-bytes', sheet, { bytes: [0x3e, 0x05, 0x76] })).toBe('passed')
  })
  test('names the first wrong, missing or extra byte', () => {
    const message = (bytes: readonly number[]): string => tryCheck('program-bytes', sheet, { bytes }).message
    expect(message([0x3e, 0x06, 0x76])).toBe('4001h holds 06h; the sheet has 05h.')
    expect(message([0x3e, 0x05])).toBe('Nothing was loaded at 4002h; the sheet has 76h there.')
    expect(message([0x3e, 0x05, 0x76, 0])).toBe('00h was loaded at 4003h, where the sheet has nothing.')
  })
  test('with a free rest only the bytes of the sheet count', () => {
    const free = { ...sheet, rest: 'free' }
    expect(outcome('program-bytes', free, { bytes: [0x3e, 0x05, 0x76, 0] })).toBe('passed')
    expect(tryCheck('program-bytes', free, { bytes: [0x3e, 0x05] })).toMatchObject({
      ...{ outcome: 'failed', measured: '4000h: 3E 05 --' },
    })
  })
})

describe('run-end', () => {
  test('wants the end that the exercise names', () => {
    expect(outcome('run-end', {}, { end: { kind: 'halted' } })).toBe('passed')
    expect(outcome('run-end', {}, { end: { kind: 'returned' } })).toBe('failed')
    expect(outcome('run-end', {}, { ends: 'return', end: { kind: 'returned' } })).toBe('passed')
  })
  test('may want a place, and one byte beside it is another', () => {
    expect(outcome('run-end', { at: '4007h' }, {})).toBe('passed')
    expect(outcome('run-end', { at: '4006h' }, {})).toBe('failed')
    expect(outcome('run-end', { at: '4008h' }, {})).toBe('failed')
  })
  test('names the loop that a program sat in', () => {
    const end = { kind: 'budget-used-up', loop: { from: 0x4005, to: 0x4007 } } as const
    expect(tryCheck('run-end', {}, { end }).measured).toBe('budget used up in the loop 4005h to 4007h')
  })
})

describe('t-states', () => {
  test('max and min pass at the limit and fail one beyond', () => {
    const at = (tStates: number) => outcome('t-states', { max: 80, min: 60 }, { tStates })
    expect([59, 60, 80, 81].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('a tolerance in percent or T includes its limit', () => {
    const percent = (tStates: number) => outcome('t-states', { near: '500 ms', within: '0.1 %' }, { tStates })
    expect([1_248_749, 1_248_750, 1_251_250, 1_251_251].map(percent)).toEqual([
      ...['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'],
    ])
    const counted = (tStates: number) => outcome('t-states', { near: 1000, within: '±26 T' }, { tStates })
    expect([973, 974, 1026, 1027].map(counted)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('says by how much', () => {
    const verdict = tryCheck('t-states', { near: '500 ms', within: '0.1 %' }, { tStates: 1_300_036 })
    expect(verdict.message).toBe(
      'The run took 1,300,036 T (520.014 ms); wanted 1,250,000 T (500 ms) ±0.1 %: 48,786 T too long.',
    )
  })
})

describe('writes-own-code', () => {
  const bytes = [0x3e, 0x05, 0x32, 0x01, 0x40, 0x76]
  const write = (address: number) => ({ kind: 'memory-write', t: 20, pc: 0x4002, address, value: 5 }) as const
  test('the last byte of the program counts, the byte behind it does not', () => {
    expect(outcome('writes-own-code', {}, { bytes, events: [write(0x4006)] })).toBe('passed')
    expect(outcome('writes-own-code', {}, { bytes, events: [write(0x4005)] })).toBe('failed')
  })
  test('data of the program may be written', () => {
    const line = { line: 1, tStates: null, tStatesNotTaken: null, label: null, source: 'DB 0' }
    const listing = [{ ...line, kind: 'data', address: 0x4005, bytes: [0] }] as const
    expect(outcome('writes-own-code', {}, { bytes, listing, events: [write(0x4005)] })).toBe('passed')
  })
})
