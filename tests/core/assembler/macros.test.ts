import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { bytes, messages, outcome, problems, run } from './notation.ts'

describe('macros', () => {
  test.each([
    ['TWO MACRO| NOP| HALT| ENDM| TWO| TWO', '00760076'],
    ['MACRO LOADA N| LD A,N| ENDM| LOADA 5', '3E05'],
    ['LOADA: MACRO N| LD A,N| ENDM| loada 5+1', '3E06'],
    ['MOVE MACRO TO,FROM| LD TO,FROM| ENDM| MOVE B,C| MOVE A,(HL)| MOVE (IX+1),7', '417EDD360107'],
    ['SAY MACRO T| DB T,0| ENDM| SAY "AB"', '414200'],
    ['HERE MACRO NAME|NAME: NOP| ENDM| HERE X| JP X', '00C30000'],
    ['INNER MACRO N| DB N| ENDM|OUTER MACRO N| INNER N| INNER N+1| ENDM| OUTER 5', '0506'],
    ['A1 MACRO|L1: DJNZ L1| ENDM| A1', '10FE'],
    ['L: A2| NOP|A2 MACRO| ENDM', 'error'],
    ['K MACRO N| LD A,N&15| ENDM| K 1FH', '3E0F'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test('LOCAL gives each call labels of its own', () => {
    const wait = 'WAIT MACRO N| LOCAL LP| LD B,N|LP: DJNZ LP| ENDM'
    expect(outcome(`${wait}| WAIT 1| WAIT 2`)).toBe('060110FE060210FE')
    expect(run(`${wait}| WAIT 1`).symbols).toEqual({})
  })

  test('without LOCAL the second call is told, and from where it was called', () => {
    expect(messages('WAIT MACRO|LP: DJNZ LP| ENDM| WAIT| WAIT')).toEqual([
      'LP is defined twice: first in line 2, again here. Choose another name for one of them. (in WAIT, from line 5)',
    ])
  })

  test('a way through many calls is told in one breath', () => {
    expect(messages('MAC MACRO| MAC| ENDM| MAC')[0]).toMatch(
      /Does the macro call itself\? \(in MAC, from line 2 \(15 times\), in MAC, from line 4\)$/,
    )
    const chain = ['A1', 'A2', 'A3', 'A4'].map((name, i) => `${name} MACRO| ${i < 3 ? `A${i + 2}` : 'LD HL,BC'}| ENDM`)
    expect(messages(`${chain.join('|')}| A1`)[0]).toMatch(
      /\(in A4, from line 8, in A3, from line 5, 1 more, in A1, from line 13\)$/,
    )
  })

  test('a mistake in a parameter is told where it was written, one in the body where that is', () => {
    expect(problems(run('MAC MACRO N| LD A,N| LD HL,BC| ENDM| MAC 300| MAC NONE'))).toEqual([
      ...['3:2 no-such-instruction', '5:6 does-not-fit', '6:6 not-defined'],
    ])
  })

  test.each([
    ['MAC MACRO N| DB N| ENDM| MAC', ['4:2 missing-operand']],
    ['MAC MACRO N| DB N| ENDM| MAC 1,2', ['4:8 extra-operand']],
    ['MAC MACRO| NOP', ['1:5 open-macro']],
    [' NOP| ENDM', ['2:2 out-of-place']],
    [' NOP| LOCAL X', ['2:2 out-of-place']],
    ['MAC MACRO 5| NOP| ENDM| NOP', ['1:11 bad-parameter']],
    ['MAC MACRO A| NOP| ENDM| NOP', ['1:11 bad-parameter']],
    ['LD MACRO| NOP| ENDM| NOP', ['1:1 reserved-name']],
    ['M1 MACRO| ENDM|M1 MACRO| ENDM| NOP', ['3:1 defined-twice']],
    [' MACRO| ENDM| NOP', ['1:2 missing-operand']],
  ])('%s gives %j', (source, wanted) => {
    expect(problems(run(source))).toEqual(wanted)
  })
})

describe('repeating', () => {
  test.each([
    [' REPT 3| NOP| ENDM| HALT', '00000076'],
    [' REPT 0| NOP| ENDM| HALT', '76'],
    ['N = 0| REPT 4| DB N|N = N+1| ENDM', '00010203'],
    [' REPT 2| REPT 2| NOP| ENDM| HALT| ENDM', '000076000076'],
    [' REPT 2| LOCAL LP|LP: DJNZ LP| ENDM', '10FE10FE'],
    ['REP MACRO N| REPT N| NOP| ENDM| ENDM| REP 3', '000000'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test.each([
    [' REPT -1| ENDM| NOP', ['1:2 does-not-fit']],
    [' REPT X| NOP| ENDM|X EQU 2| NOP', ['1:7 not-known-yet']],
    [' REPT 2| NOP', ['1:2 open-macro']],
  ])('%s gives %j', (source, wanted) => {
    expect(problems(run(source))).toEqual(wanted)
  })
})

describe('conditions', () => {
  test.each([
    [' IF 1| NOP| ELSE| HALT| ENDIF', '00'],
    [' IF 0| NOP| ELSE| HALT| ENDIF', '76'],
    [' IF 0| FOO BAR| IF 1| MORE 1H0| ENDIF| ELSE| HALT| ENDIF', '76'],
    ['X EQU 3| IF X > 2 AND NOT (X = 4)| NOP| ENDIF', '00'],
    ['X EQU 1| IFDEF X| NOP| ENDIF| IFNDEF X| HALT| ENDIF', '00'],
    ['MAC MACRO N| IF N| NOP| ELSE| HALT| ENDIF| ENDM| MAC 1| MAC 0', '0076'],
    [' IF 0|MAC MACRO| NOP| ENDM| ENDIF| HALT', '76'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test.each([
    [' IF 1| NOP', ['1:2 open-if']],
    [' NOP| ENDIF', ['2:2 out-of-place']],
    [' NOP| ELSE', ['2:2 out-of-place']],
    [' IF 1| NOP| ELSE| ELSE| ENDIF', ['4:2 out-of-place']],
    [' IF X| ENDIF|X: NOP', ['1:5 not-known-yet']],
    [' IF| NOP| ENDIF| NOP', ['1:4 missing-value']],
    [' IFDEF| NOP| ENDIF| NOP', ['1:2 missing-operand']],
    ['MAC MACRO| IF 1| ENDM| MAC| NOP', ['2:2 open-if']],
    ['MAC MACRO| ENDIF| ENDM| IF 1| MAC| NOP| ENDIF', ['2:2 out-of-place']],
  ])('%s gives %j', (source, wanted) => {
    expect(problems(run(source))).toEqual(wanted)
  })
})

describe('texts made to grow end soon and with a word about it', () => {
  const doubling = Array.from({ length: 15 }, (_, i) => `M${i + 1} MACRO\n M${i}\n M${i}\n ENDM`).join('\n')
  const bombs: readonly (readonly [string, string, string])[] = [
    ['a macro that calls itself', 'MAC MACRO\n MAC\n ENDM\n MAC', 'too-deep'],
    ['two macros that call each other', 'MAC MACRO\n ALT\n ENDM\nALT MACRO\n MAC\n MAC\n ENDM\n MAC', 'too-deep'],
    ['macros that double', `M0 MACRO\n NOP\n ENDM\n${doubling}\n M15`, 'expansion-too-long'],
    [
      'the same with 20,000 calls',
      `M0 MACRO\n NOP\n ENDM\n${doubling}\n${' M15\n'.repeat(19_000)}`,
      'expansion-too-long',
    ],
    [
      'parameters that double',
      `M0 MACRO Q\n DB Q\n ENDM\n${doubling.replace(/MACRO/g, 'MACRO Q').replace(/^( M\d+)$/gm, '$1 Q+Q')}\n M15 1`,
      'line-too-long',
    ],
    ['REPT of nothing', ' REPT 65535*65535\n ENDM', 'expansion-too-long'],
    ['REPT in REPT', ' REPT 60000\n REPT 60000\n NOP\n ENDM\n ENDM', 'expansion-too-long'],
    ['REPT in 17 REPTs', `${' REPT 2\n'.repeat(17)} NOP\n${' ENDM\n'.repeat(17)}`, 'too-deep'],
    ['DS over and over', ' REPT 10000\n ORG 0\n DS 65535\n ENDM', 'too-many-bytes'],
    ['ORG and DS at the far end', ' ORG 0FFFFH\n DS 65535', 'past-end'],
    ['a long DB repeated', ` REPT 19000\n DB ${'1,'.repeat(400)}1\n ENDM`, 'expansion-too-long'],
    ['a hundred thousand brackets', ` LD A,${'('.repeat(100_000)}`, 'line-too-long'],
    ['lines of brackets', ` LD A,${'('.repeat(900)}\n`.repeat(200), 'expression-too-deep'],
    [
      '20,000 names that are not defined',
      Array.from({ length: 20_000 }, (_, i) => ` JP NAME${i}`).join('\n'),
      'not-defined',
    ],
    [
      'names close to 10,000 others',
      Array.from({ length: 10_000 }, (_, i) => `LABEL${i}: JP LABLE${i}`).join('\n'),
      'not-defined',
    ],
    [
      'a circle of 19,000 EQUs',
      Array.from({ length: 19_000 }, (_, i) => `X${i} EQU X${(i + 1) % 19_000}`).join('\n'),
      'circular-definition',
    ],
    ['20,000 unknown words', ' QWERTZ 1,2,3\n'.repeat(20_000), 'unknown-instruction'],
    [
      '20,000 EQUs that use a hundred open names each',
      Array.from(
        { length: 19_000 },
        (_, i) => `X${i} EQU ${Array.from({ length: 100 }, (_, j) => `X${i + j + 1}`).join('+')}`,
      ).join('\n'),
      'text-too-long',
    ],
    [
      'a fan of open EQUs',
      Array.from(
        { length: 1200 },
        (_, i) => `X${i} EQU ${Array.from({ length: 90 }, (_, j) => `X${i + j + 1}`).join('+')}`,
      ).join('\n'),
      'not-defined',
    ],
  ]

  /** The least of some runs in milliseconds of processor time: what the text costs, not what else the machine does. */
  function fastest(text: string): number {
    return Math.min(
      ...Array.from({ length: 4 }, () => {
        const before = process.cpuUsage()
        assemble(text, { origin: 0, maxBytes: 0x10000 })
        const { user, system } = process.cpuUsage(before)
        return (user + system) / 1000
      }),
    )
  }

  test.each(bombs)('%s', (_, text, code) => {
    const program = assemble(text, { origin: 0, maxBytes: 0x10000 })
    expect(program.problems.map((problem) => problem.code)).toContain(code)
    expect(program.problems.length).toBeLessThanOrEqual(201)
    // The aims are 100 ms, and a second for a text of 20,000 lines, on a machine of its own; a shared one needs more.
    expect(fastest(text)).toBeLessThan(text.length < 100_000 ? 300 : 1500)
  })

  test('lines below a bomb are assembled and told all the same', () => {
    const program = run('MAC MACRO| REPT 60000| ENDM| ENDM| MAC| LD A,5| LD HL,BC', {})
    expect(problems(program)).toEqual(['5:1 expansion-too-long', '7:2 no-such-instruction'])
    expect(bytes(program)).toBe('3E05')
  })
})
