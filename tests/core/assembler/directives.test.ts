import { describe, expect, test } from 'vitest'
import { bytes, messages, outcome, problems, run } from './notation.ts'

describe('placing', () => {
  test.each([
    [' ORG 4000H| NOP', '4000=00'],
    [' .org 4000h|NOP', '4000=00'],
    [' ORG 4000H| NOP| ORG 4010H| HALT', '4000=00 4010=76'],
    [' ORG 4010H| NOP| ORG 4000H| HALT', '4000=76 4010=00'],
    ['X EQU 4000H| ORG X+10H| NOP', '4010=00'],
    ['START: ORG 4000H| JP START', '4000=C30040'],
    [' NOP| ORG $+3| NOP', '00 0004=00'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test('what comes before any ORG begins at the origin', () => {
    expect(bytes(run('LP: JP LP', { origin: 0x4000 }))).toBe('4000=C30040')
  })

  test.each([
    [' ORG 10000H', ['1:6 does-not-fit']],
    [' ORG -1', ['1:6 does-not-fit']],
    [' ORG X|X EQU 5', ['1:6 not-known-yet']],
    [' ORG', ['1:5 missing-value']],
    [' NOP| ORG 0| HALT', ['3:2 overlap']],
    [' ORG 0FFFFH| LD A,5', ['2:2 past-end']],
  ])('%s gives %j', (source, wanted) => {
    expect(problems(run(source))).toEqual(wanted)
  })

  test('bytes outside RAM are told with the range that is allowed', () => {
    const program = run(' ORG 47FFH| LD A,5| ORG 4000H| NOP', { allowed: [{ from: 0x4000, to: 0x47ff }] })
    expect(program.problems).toMatchObject([{ code: 'out-of-place', at: { line: 2 }, found: '4800h' }])
  })
})

describe('data', () => {
  test.each([
    [' DB 1,2,-1,255', '0102FFFF'],
    [' DB "AB",0DH', '41420D'],
    [` DB 'it''s',"a ""b"""`, '69742773612022622' + '2'],
    [" DB 'A'+1", '42'],
    [' DEFM "AB"', '4142'],
    [' DW 1234H,-1,"A"', '3412FFFF4100'],
    [' NOP| DW $,$', '0001000300'],
    [' DS 4,0AAH', 'AAAAAAAA'],
    [' DS 0| NOP', '00'],
    ['N EQU 2| DS N+1| DB 9', '00000009'],
    ['TABLE: DB 1,2,3|SIZE EQU $-TABLE| LD B,SIZE', '0102030603'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test.each([
    [' DB 1,,2', ['1:2 missing-operand']],
    [' DB 1,', ['1:2 missing-operand']],
    [' DS -1', ['1:5 does-not-fit']],
    [' DS 70000', ['1:5 does-not-fit']],
    [' DS 1,256', ['1:7 does-not-fit']],
    [' DS 1,2,3', ['1:9 extra-operand']],
    [' DS LATER|LATER: NOP', ['1:5 not-known-yet']],
    [' DW "AB"', ['1:5 not-one-character']],
    [' EQU 5', ['1:2 missing-operand']],
  ])('%s gives %j', (source, wanted) => {
    expect(problems(run(source))).toEqual(wanted)
  })
})

describe('the end and the entry', () => {
  test.each([
    [' ORG 4000H| NOP|GO: HALT| END GO', 0x4001],
    [' ORG 4000H| NOP| END', 0x4000],
    [' ORG 4010H| NOP| ORG 4000H| HALT', 0x4000],
    ['; nothing', 0x4800],
  ])('%s starts at %i', (source, entry) => {
    expect(run(source, { origin: 0x4800 }).entry).toBe(entry)
  })

  test('lines below END are left out with one warning', () => {
    const program = run(' NOP| END| HALT| FOO BAR|')
    expect(bytes(program)).toBe('00')
    expect(program.isOk).toBe(true)
    expect(program.problems).toMatchObject([{ severity: 'warning', code: 'after-end', at: { line: 3 } }])
  })

  test('a program without a byte is refused', () => {
    expect(problems(run('; only words|X EQU 5'))).toEqual(['1:1 empty'])
    expect(problems(run(''))).toEqual(['1:1 empty'])
  })
})

describe('size', () => {
  test('as many bytes as allowed, and one more', () => {
    expect(problems(run(' DS 3', { maxBytes: 3 }))).toEqual([])
    expect(problems(run(' DS 3| NOP', { maxBytes: 3 }))).toEqual(['2:2 too-many-bytes'])
    expect(problems(run(' DS 4096'))).toEqual([])
    expect(problems(run(' DS 4097'))).toEqual(['1:2 too-many-bytes'])
  })

  test('as many lines as allowed, and one more', () => {
    expect(problems(run('NOP|NOP', { maxLines: 2 }))).toEqual([])
    expect(messages('NOP|'.repeat(20_001).slice(0, -1))).toEqual([
      'The program has 20,001 lines; allowed are up to 20,000 lines. Nothing was read.',
    ])
  })

  test('5 MB are refused unread', () => {
    expect(problems(run(' NOP ; '.repeat(750_000)))).toEqual(['1:1 text-too-long'])
  })
})
