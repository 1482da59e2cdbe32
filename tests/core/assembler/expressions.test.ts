import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { bytes, messages, outcome, problems, run } from './notation.ts'

/** The value of an expression as a word. */
function word(expression: string): string {
  return bytes(assemble(` DW ${expression}`, { origin: 0 })).replace(/^(..)(..)$/, '$2$1')
}

describe('operators and their precedence, as in C', () => {
  test.each([
    ['2+3*4', '000E'],
    ['(2+3)*4', '0014'],
    ['[2+3]*4', '0014'],
    ['10-4-3', '0003'],
    ['100/10/5', '0002'],
    ['-7/2', 'FFFD'],
    ['7 MOD 4', '0003'],
    ['-7 % 4', 'FFFD'],
    ['1+2<<3', '0018'],
    ['1 SHL 15 SHR 3', '1000'],
    ['0F0H|0FH&3', '00F3'],
    ['0FFH XOR 0FH OR 1', '00F1'],
    ['6 & 3 = 3', '0006'],
    ['5 = 5', 'FFFF'],
    ['5 <> 5', '0000'],
    ['3 < 4 AND 4 > 3', 'FFFF'],
    ['3 GE 4', '0000'],
    ['NOT 0', 'FFFF'],
    ['~0FH & 0FFH', '00F0'],
    ['!5', '0000'],
    ['2 && 0 || 4', 'FFFF'],
    ['HIGH 1234H', '0012'],
    ['LOW 1234H + 1', '0035'],
    ['HIGH (1234H + 0FFH)', '0013'],
    ['- - 5', '0005'],
    ["'Z' - 'A'", '0019'],
    ['%101 + %1', '0006'],
    ['7%%10', '0001'],
    ['5 AND %100', '0004'],
    ['$', '0000'],
  ])('%s is %s', (expression, value) => {
    expect(word(expression)).toBe(value)
  })

  test('whole-number arithmetic agrees with the language that runs this', () => {
    const tree = fc.letrec<{ node: [string, number] }>((tie) => ({
      node: fc.oneof(
        { depthSize: 'small' },
        fc.integer({ min: 0, max: 99 }).map((n): [string, number] => [String(n), n]),
        fc
          .tuple(tie('node'), fc.constantFrom('+', '-', '*', '&', '|', '^'), tie('node'))
          .map(([a, operator, b]): [string, number] => {
            const results: Record<string, number> = {
              ...{ '+': a[1] + b[1], '-': a[1] - b[1], '*': a[1] * b[1] },
              ...{ '&': a[1] & b[1], '|': a[1] | b[1], '^': a[1] ^ b[1] },
            }
            return [`(${a[0]} ${operator} ${b[0]})`, results[operator] ?? 0]
          }),
      ),
    })).node
    fc.assert(
      fc.property(tree, ([text, value]) => {
        fc.pre(value >= -0x8000 && value <= 0xffff)
        expect(word(text)).toBe((value & 0xffff).toString(16).toUpperCase().padStart(4, '0'))
      }),
    )
  })
})

describe('values never wrap in silence', () => {
  test.each([
    ['65536*65536', 'number-too-large'],
    ['1 SHL 40 + 0FFFFFFFFH + 1', 'number-too-large'],
    ['99999999999', 'number-too-large'],
  ])('%s', (expression, code) => {
    expect(problems(run(` DW ${expression}`)).join()).toContain(code)
  })

  test.each([
    ['99999999999999999999', '99999999999999999999 is more than 32 bits hold.'],
    ['4294967295*4294967295', 'This comes to 18446744065119617025, which is more than 32 bits hold.'],
    ['0FFFFFFFFH SHL 31', 'This comes to 9223372034707292160, which is more than 32 bits hold.'],
    ['-80000000H*80000000H', 'This comes to -4611686018427387904, which is more than 32 bits hold.'],
    ['9'.repeat(900), `${'9'.repeat(40)}… is more than 32 bits hold.`],
  ])('%s is told to the last digit', (expression, message) => {
    expect(messages(` DW ${expression}`)[0]).toBe(message)
  })

  test.each([
    ['1 SHL 32', '1:11 shift-out-of-range'],
    ['1 >> 32', '1:10 shift-out-of-range'],
    ['1 << -1', '1:10 shift-out-of-range'],
    ['1 SHR (30 + 2)', '1:15 shift-out-of-range'],
  ])('%s is refused', (expression, wanted) => {
    expect(problems(run(` DW ${expression}`))).toContain(wanted)
  })

  test.each([
    ['1 SHL 31 SHR 31', '0001'],
    ['1 SHL 0', '0001'],
    ['-1 SHR 31', 'FFFF'],
  ])('%s is done', (expression, value) => {
    expect(word(expression)).toBe(value)
  })

  test('a shift the wrong way is told how to write it', () => {
    expect(messages(' DB 8 SHR -2')[0]).toBe(
      'SHR -2 cannot be done: a value has 32 bits, so a shift goes by 0 to 31 places. For the other direction write SHL 2.',
    )
  })

  test('long and deep expressions end with a word about it', () => {
    expect(messages(` DW ${'1+'.repeat(260)}1`)[0]).toContain('An expression may have up to 500')
    expect(messages(` DW ${'('.repeat(300)}1${')'.repeat(300)}`)[0]).toContain('Too many brackets')
    expect(messages(` DW ${'-'.repeat(300)}1`)[0]).toContain('Too many brackets or signs')
  })
})

describe('names', () => {
  test.each([
    ['X EQU 5| LD A,X', '3E05'],
    ['X EQU Y+1|Y EQU W+1|W EQU 3| DB X,Y,W', '050403'],
    ['N DEFL 1| DB N|N DEFL N+1| DB N', '0102'],
    ['N = 1| DB N|N = N*5| DB N', '0105'],
    [' ORG 10H|X EQU $| ORG 0| DB X', '10'],
    ['LP:| DJNZ LP', '10FE'],
    ['LP| DJNZ LP', '10FE'],
    ['  LP: DJNZ lp', '10FE'],
    ['Start.1: DJNZ Start.1', '10FE'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test('a name that depends on itself is told once, where it does', () => {
    expect(problems(run('X EQU Y|Y EQU X| DB X'))).toEqual(['2:7 circular-definition'])
    expect(problems(run('X EQU X+1| DB X'))).toEqual(['1:7 circular-definition'])
  })

  test('a chain of names as long as a program can be is worked out', () => {
    const chain = Array.from({ length: 19_000 }, (_, i) => `X${i} EQU X${i + 1}+1`)
    const program = run(['X19000 EQU 0', ' DW X0', ...chain].slice(1).concat('X19000 EQU 7').join('|'))
    expect(problems(program)).toEqual([])
    expect(bytes(program)).toBe('3F4A')
  })

  test('names known beforehand are there, and the program may have its own of that name', () => {
    const symbols = { PAINT: 0x40, buzz: 0x58 }
    expect(bytes(run(' CALL Paint| CALL BUZZ', { symbols }))).toBe('CD4000CD5800')
    expect(bytes(run('PAINT EQU 1| CALL PAINT', { symbols }))).toBe('CD0100')
    expect(run('PAINT EQU 1|X: NOP', { symbols }).symbols).toEqual({ PAINT: 1, X: 0 })
  })

  test('no name of the program reaches the workings of a JavaScript object', () => {
    const { symbols } = run('__proto__: NOP|constructor: NOP|toString EQU 5')
    expect(Object.entries(symbols)).toEqual([
      ['__proto__', 0],
      ['constructor', 1],
      ['toString', 5],
    ])
  })
})

describe('what other assemblers read otherwise', () => {
  test.each([
    ['HIGH 1234H+1', '(HIGH 1234H) + 1', 'HIGH (1234H + 1)'],
    ['LOW 5 SHL 2', '(LOW 5) SHL 2', 'LOW (5 SHL 2)'],
    ['5 AND 4 = 4', '5 AND (4 = 4)', '(5 AND 4) = 4'],
    ['5 & 4 = 4', '5 & (4 = 4)', '(5 & 4) = 4'],
    ['NOT 1 = 2', '(NOT 1) = 2', 'NOT (1 = 2)'],
    ['1 + 2 SHL 3', '(1 + 2) SHL 3', '1 + (2 SHL 3)'],
    ['1 << 2 + 3', '1 << (2 + 3)', '(1 << 2) + 3'],
    ['1 OR 2 XOR 3', '1 OR (2 XOR 3)', '(1 OR 2) XOR 3'],
  ])('%s is told with both readings', (expression, ours, theirs) => {
    const program = run(` DW ${expression}`)
    expect(program.isOk).toBe(true)
    expect(program.problems).toMatchObject([
      {
        severity: 'warning',
        code: 'read-otherwise',
        message: `This is read as ${ours}; some assemblers read ${theirs}. Write the brackets that you mean.`,
      },
    ])
    expect(outcome(` DW ${ours}`)).toBe(outcome(` DW ${expression}`))
    expect(problems(run(` DW ${ours}| DW ${theirs}`))).toEqual([])
  })

  test.each([
    ...[
      '(HIGH 1234H)+1',
      'HIGH (1234H+1)',
      '1 + HIGH 1234H',
      '2*3+4*5-6',
      '1 = 1 AND 2 = 2',
      '2*3 SHL 1',
      '1 AND NOT (2 = 3)',
    ],
    ...['NOT 1 AND 2', '0F0H AND 0FH OR 1', '-1 SHL 2', '~1 + 2', '3 < 4 && 4 = 5'],
  ])('%s is not', (expression) => {
    expect(problems(run(` DW ${expression}`))).toEqual([])
  })

  test('each mixture is told once, in operands as in data', () => {
    expect(problems(run(' LD A,HIGH 1234H+1| DB HIGH 1234H+2| DB LOW 5+1'))).toEqual([
      '1:17 read-otherwise',
      '3:10 read-otherwise',
    ])
  })
})

describe('a number that looks like another without its H', () => {
  test.each([
    ['0B1', '3E01', '0B1 is read as binary: 1. For the hexadecimal number write 0B1H.'],
    ['0b101', '3E05', '0b101 is read as binary: 5. For the hexadecimal number write 0B101H.'],
    ['1B', '3E01', '1B is read as binary: 1. For the hexadecimal number write 1BH.'],
    ['6D', '3E06', '6D is read as decimal: 6. For the hexadecimal number write 6DH.'],
  ])('LD A,%s is %s, with a warning', (text, wanted, message) => {
    const program = run(` LD A,${text}`)
    expect(bytes(program)).toBe(wanted)
    expect(program.problems).toMatchObject([
      { severity: 'warning', code: 'forgotten-h', message, at: { line: 1, column: 7 } },
    ])
  })

  test.each(['0B1H', '0b00111111', '101B', '00000001B', '90', '0x0D', '1000D'])('LD HL,%s says nothing', (text) => {
    expect(problems(run(` LD HL,${text}`))).toEqual([])
  })

  test('nothing is said where nothing is assembled, and a full list of warnings hides no error', () => {
    expect(problems(run(' IF 0| LD A,0B1| ENDIF| NOP'))).toEqual([])
    const program = run(`${' LD A,6D|'.repeat(400)} LD HL,BC`)
    expect(program.problems.map(({ code }) => code)).toContain('no-such-instruction')
    expect(program.isOk).toBe(false)
  })
})
