import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { compareRuns, comparisonOptions, nearestPassing, probe } from '../../../core/diagnosis/index.ts'
import {
  drawnAnew,
  boardMisfits,
  caseInstances,
  modelProgram,
  parseExercise,
  readOptionsFor,
  runRequestFor,
  studentView,
  type Exercise,
} from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { record } from '../../../core/run/index.ts'
import { outcome, tryCheck } from './try-check.ts'

function exerciseWith(checks: readonly object[], parts: object = {}): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'S1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    ...{ cases: [{ id: 'one' }], groups: [{ id: 'all', title: 'All', marks: 100 }] },
    checks: checks.map((check, i) => ({ id: `c${i}`, title: 'It', group: 'all', ...check })),
    ...parts,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join('\n'))
  expect(boardMisfits(parsed.exercise, benchEight)).toEqual([])
  return parsed.exercise
}
const reportOf = (of: Exercise, text: string) => {
  const report = grade({ format: 'assembly', text }, of, benchEight)
  expect(report.problems).toEqual([])
  return report
}
const scoreOf = (of: Exercise, text: string): number => reportOf(of, text).score

describe('a register of which several values are right', () => {
  const a = (wanted: object, value: number) =>
    outcome('registers', { want: { a: wanted } }, { registers: { af: value << 8 } })
  const hl = (wanted: object, value: number) =>
    outcome('registers', { want: { hl: wanted } }, { registers: { hl: value } })
  test('one of a list', () => {
    expect([0, 1, 2, 3, 4].map((value) => a({ of: [1, 2, 4] }, value))).toEqual([
      ...['failed', 'passed', 'passed', 'failed', 'passed'],
    ])
  })
  test('a range, both ends included, or one end alone', () => {
    const range = { from: '30h', to: '39h' }
    expect([0x2f, 0x30, 0x39, 0x3a].map((value) => a(range, value))).toEqual([
      ...['failed', 'passed', 'passed', 'failed'],
    ])
    expect([0x7f, 0x80, 0xff].map((value) => a({ from: '80h' }, value))).toEqual(['failed', 'passed', 'passed'])
    expect([0x45ff, 0x4600, 0x460f, 0x4610].map((value) => hl({ from: '4600h', to: '460Fh' }, value))).toEqual([
      ...['failed', 'passed', 'passed', 'failed'],
    ])
  })
  test('bits under a mask, with a value, a list or a range', () => {
    expect([0x80, 0x8f, 0x90, 0x00].map((value) => a({ value: '80h', mask: 'F0h' }, value))).toEqual([
      ...['passed', 'passed', 'failed', 'failed'],
    ])
    expect([0xf1, 0xf2, 0xf3].map((value) => a({ of: [1, 2], mask: '0Fh' }, value))).toEqual([
      ...['passed', 'passed', 'failed'],
    ])
    expect([0xf9, 0xfa].map((value) => a({ to: 9, mask: '0Fh' }, value))).toEqual(['passed', 'failed'])
  })
  test('the model answer’s value in some bits', () => {
    const at = (value: number) =>
      outcome(
        'registers',
        { want: { a: { value: 'model', mask: 'F0h' } } },
        { registers: { af: value << 8 }, model: { registers: { af: 0x4500 } } },
      )
    expect([0x40, 0x4f, 0x55].map(at)).toEqual(['passed', 'passed', 'failed'])
  })
  test('says what was found and what is right', () => {
    const said = (wanted: object) =>
      tryCheck('registers', { want: { a: wanted } }, { registers: { af: 0x3a00 } }).message
    expect(
      [{ of: [1, 2, 4] }, { from: '30h', to: '39h' }, { from: '40h' }, { value: '80h', mask: 'F0h' }].map(said),
    ).toEqual([
      'At the end A = 3Ah; wanted A = 01h, 02h or 04h.',
      'At the end A = 3Ah; wanted A from 30h to 39h.',
      'At the end A = 3Ah; wanted A at least 40h.',
      'At the end A = 3Ah; wanted A AND F0h = 80h.',
    ])
  })
})

describe('memory of which several contents are right', () => {
  const held = (want: object, ...bytes: readonly number[]) =>
    tryCheck('memory', { want: [{ at: 0x4600, ...want }] }, { memory: { 0x4600: bytes }, memoryBefore: {} })
  const outcomes = (want: object, ...found: readonly (readonly number[])[]) =>
    found.map((bytes) => held(want, ...bytes).outcome)
  test('single places of a block', () => {
    const want = { bytes: [{ from: '30h', to: '39h' }, 'any', '0Dh', { of: [1, 2] }] }
    expect(outcomes(want, [0x35, 0xff, 0x0d, 2], [0x3a, 0xff, 0x0d, 2], [0x35, 0xff, 0x0d, 3])).toEqual([
      ...['passed', 'failed', 'failed'],
    ])
    expect(held(want, 0x3a, 0, 0x0d, 2).message).toBe('At the end 4600h holds 3Ah; wanted from 30h to 39h.')
    expect(held(want, 0x3a, 0, 0x0d, 3).parts?.()).toMatchObject({ right: 1, of: 3 })
    expect(held(want, 0x35, 0, 0x0d, 1)).toMatchObject({ wanted: '4600h: from 30h to 39h, any, 0Dh, 01h or 02h' })
  })
  test('one of several blocks, the nearest of which counts for the share', () => {
    const want = { of: ['12 34 56', '56 34 12'] }
    expect(outcomes(want, [0x12, 0x34, 0x56], [0x56, 0x34, 0x12], [0x12, 0x34, 0x12])).toEqual([
      ...['passed', 'passed', 'failed'],
    ])
    expect(held(want, 0x56, 0x34, 0).message).toBe('At the end 4600h holds 56 34 00; wanted 12 34 56 or 56 34 12.')
    expect(held(want, 0x56, 0x34, 0).parts?.()).toMatchObject({ right: 2, of: 3 })
  })
  test('a word, its low byte first', () => {
    const want = { word: { from: 480, to: 520 } }
    expect(outcomes(want, [0xdf, 1], [0xe0, 1], [0x08, 2], [0x09, 2])).toEqual([
      ...['failed', 'passed', 'passed', 'failed'],
    ])
    expect(held(want, 0, 1).message).toBe('At the end the word at 4600h is 0100h; wanted from 01E0h to 0208h.')
    expect(outcomes({ word: '1C2Ch' }, [0x2c, 0x1c], [0x1c, 0x2c])).toEqual(['passed', 'failed'])
  })
  test('bits under a mask, one for all bytes or one for each', () => {
    expect(outcomes({ bytes: '80 40', mask: 'F0' }, [0x8f, 0x41], [0x8f, 0x51])).toEqual(['passed', 'failed'])
    expect(outcomes({ bytes: '80 40', mask: 'F0 FF' }, [0x8f, 0x40], [0x8f, 0x41])).toEqual(['passed', 'failed'])
    expect(held({ bytes: '80 40', mask: 'F0 FF' }, 0x8f, 0x41).wanted).toBe('4600h: 80 40 under the mask F0 FF')
    const model = (bytes: readonly number[]) =>
      outcome(
        'memory',
        { want: [{ at: 0x4600, bytes: 'model', length: 2, mask: '0F' }] },
        { memory: { 0x4600: bytes }, memoryBefore: {}, model: { memory: { 0x4600: [0x12, 0x34] } } },
      )
    expect([model([0xf2, 0xf4]), model([0xf2, 0xf3])]).toEqual(['passed', 'failed'])
  })
  test('the page of the exercise says what is right', () => {
    const of = exerciseWith([
      {
        kind: 'memory',
        want: [
          { at: '4600h', word: { from: 480, to: 520 } },
          { at: '4610h', bytes: '80', mask: 'F0' },
        ],
      },
      { kind: 'registers', want: { a: { of: [1, 2, 4] }, b: { value: '80h', mask: 'F0h' } } },
    ])
    expect(studentView(of, benchEight).visibleChecks.map(({ wanted }) => wanted)).toEqual([
      '4600h: word from 01E0h to 0208h; 4610h: 80 under the mask F0',
      'A = 01h, 02h or 04h and B AND F0h = 80h',
    ])
  })
})

describe('a description that no value or every value fits', () => {
  const found = (check: object): readonly string[] => {
    const parsed = parseExercise({
      ...{ format: 'hexcairn-exercise/1', id: 'S1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
      ...{ cases: [{ id: 'one' }], groups: [{ id: 'all', title: 'All', marks: 100 }] },
      checks: [{ id: 'c', title: 'It', group: 'all', ...check }],
    })
    return parsed.isOk ? boardMisfits(parsed.exercise, benchEight).map(({ message }) => message) : ['not read']
  }
  const register = (a: object) => found({ kind: 'registers', want: { a } })
  const memory = (want: object) => found({ kind: 'memory', want: [{ at: '4600h', ...want }] })
  test('is refused, with what was found and what is allowed', () => {
    expect(register({ from: 0, to: 255 })).toEqual([
      'checks[0] (c): found values for A that it always holds, allowed such as it need not hold',
    ])
    expect(register({ value: 0, mask: 0 })).toHaveLength(1)
    expect(register({ from: 9, to: 3 })).toEqual([
      'checks[0] (c): found values for A that it never holds, allowed such as it can hold',
    ])
    expect(register({ of: [10, 20], mask: 1 })).toEqual([])
    expect(register({ from: 16, mask: '0Fh' })).toHaveLength(1)
    expect(register({ of: ['100h'] })).toEqual(['checks[0] (c): found 0100h for A, allowed at most FFh'])
    expect(register({})).toEqual(['checks[0] (c): found no values for A, allowed one of value, of, and from and to'])
    expect(register({ of: [1], to: 3 })).toHaveLength(1)
    expect(memory({})).toHaveLength(1)
    expect(memory({ bytes: '01', of: ['02'] })).toHaveLength(1)
    expect(memory({ of: ['01', '02 03'] })).toEqual([
      'checks[0] (c): found blocks of 1 and 2 bytes at 4600h, allowed one length',
    ])
    expect(memory({ bytes: '01 02 03', mask: 'F0 0F' })).toEqual([
      'checks[0] (c): found a mask of 2 bytes at 4600h, allowed 1 or 3',
    ])
    expect(memory({ bytes: ['any', 'any'] })).toHaveLength(1)
    expect(memory({ bytes: [1, { from: 0 }] })).toHaveLength(1)
    expect(memory({ word: { to: 'FFFFh' } })).toHaveLength(1)
  })
})

describe('luck earns nothing where several values are right', () => {
  /** With other values in what nothing sets. */
  const again = (of: Exercise): readonly Exercise[] => [0, 1, 2, 3, 4, 5].map((round) => drawnAnew(of, round))
  const wide: readonly (readonly [string, object])[] = [
    ['nearly all bytes', { kind: 'memory', want: [{ at: '4600h', bytes: [{ from: 1 }] }] }],
    ['nearly all bytes, from below', { kind: 'memory', want: [{ at: '4600h', bytes: [{ to: 254 }] }] }],
    ['both at once', { kind: 'memory', want: [{ at: '4600h', bytes: [{ from: 1 }, { to: 254 }] }] }],
    ['one bit', { kind: 'memory', want: [{ at: '4600h', bytes: '01', mask: '01' }] }],
    [
      'one bit in each of eight',
      { kind: 'memory', want: [{ at: '4600h', bytes: '01 00 01 01 00 00 01 00', mask: '01' }] },
    ],
    ['a wide word', { kind: 'memory', want: [{ at: '4600h', word: { from: 1 } }] }],
    ['all zeros or all ones', { kind: 'memory', want: [{ at: '4600h', of: ['00', 'FF'] }] }],
    ['a register', { kind: 'registers', want: { b: { from: 1 }, de: { to: 'FFFEh' }, l: { value: 1, mask: 1 } } }],
  ]
  test.each(wide)('doing nothing gets nothing: %s', (_, check) => {
    // In a case alone, and in the second of four alone: other starts are tried there.
    const four = [{ id: 'one' }, { id: 'two' }, { id: 'three' }, { id: 'four' }]
    for (const [some, cases] of [
      [{}, [{ id: 'one' }]],
      [{ cases: ['two'] }, four],
    ]) {
      const of = exerciseWith([{ ...check, ...some }], { cases })
      for (const each of again(of)) expect(scoreOf(each, ' HALT')).toBe(0)
    }
  })
  test('what is copied from where nothing has set anything is no result', () => {
    const of = exerciseWith([{ kind: 'memory', want: [{ at: '4600h', bytes: [{ from: 1 }] }] }])
    for (const each of again(of)) expect(scoreOf(each, ' LD A,B\n LD (4600H),A\n HALT')).toBe(0)
    for (const each of again(of)) expect(scoreOf(each, ' LD A,7\n LD (4600H),A\n HALT')).toBe(100)
    const bit = exerciseWith([{ kind: 'registers', want: { a: { value: 1, mask: 1 } } }])
    for (const each of again(bit)) expect(scoreOf(each, ' LD A,C\n OR 2\n HALT')).toBe(0)
    // The bit is set whatever the others hold.
    for (const each of again(bit)) expect(scoreOf(each, ' LD A,C\n OR 1\n HALT')).toBe(100)
  })
})

describe('at moments and after calls', () => {
  test('limits of each call, from its own values', () => {
    const of = exerciseWith(
      [
        {
          ...{ kind: 'registers', when: { call: 'each' }, credit: 'parts' },
          want: { a: { from: '$low', to: '$high' } },
        },
      ],
      {
        program: { ends: 'return' },
        cases: [
          {
            id: 'calls',
            calls: [
              { registers: { a: 10 }, expect: { low: 18, high: 22 } },
              { registers: { a: 100 }, expect: { low: 190, high: 210 } },
            ],
          },
        ],
      },
    )
    expect(scoreOf(of, ' ADD A,A\n RET')).toBe(100)
    expect(scoreOf(of, ' ADD A,A\n INC A\n RET')).toBe(100)
    expect(scoreOf(of, ' ADD A,10\n RET')).toBe(50)
    expect(reportOf(of, ' LD A,25\n RET').checks[0]?.message).toMatch(
      /^After call 1 A = 19h; wanted A from 12h to 16h\./,
    )
  })
  test('memory when a time has passed', () => {
    // Counts in 4600h, 33 T a round.
    const of = exerciseWith([
      { kind: 'memory', when: { time: '33 ms' }, want: [{ at: '4600h', word: { from: 2480, to: 2520 } }] },
    ])
    const counting = (step: string): string =>
      ` LD HL,0\nLOOP: ${step}\n LD (4600H),HL\n NOP\n BIT 7,H\n JR Z,LOOP\n HALT`
    // INC HL 6, LD (nn),HL 16, NOP 4, BIT 8, JR 12: 46 T; 82,500 T are 1,793 rounds.
    expect(scoreOf(of, counting('INC HL'))).toBe(0)
    expect(reportOf(of, counting('INC HL')).checks[0]?.message).toMatch(
      /^At 33 ms the word at 4600h is 07[0-9A-F]{2}h; wanted from 09B0h to 09D8h/,
    )
  })
})

describe('the tools for authors and failing hand-ins take every right value for right', () => {
  const of = exerciseWith(
    [
      { kind: 'registers', want: { a: { of: [5, 6] } } },
      { kind: 'memory', want: [{ at: '4600h', bytes: [{ from: '30h', to: '3Fh' }, 7] }], elsewhere: 'unchanged' },
      { kind: 'run-end' },
    ],
    { model: { format: 'assembly', text: ' LD HL,0735H\n LD (4600H),HL\n LD A,5\n HALT\n' } },
  )
  const other = ' LD A,30H\n LD (4600H),A\n LD A,7\n LD (4601H),A\n LD A,6\n HALT\n'
  const programOf = (text: string) => readProgram({ format: 'assembly', text }, readOptionsFor(of, benchEight))
  test('another right answer is no other than the model answer', () => {
    expect(scoreOf(of, other)).toBe(100)
    const [instance] = caseInstances(of)
    const model = modelProgram(of, benchEight)
    if (instance === undefined || model === null) throw new Error('it has a case and a model answer')
    const runOf = (program: ReturnType<typeof programOf>) => {
      const request = runRequestFor(of, benchEight, program, instance.id)
      return { request, recording: record(request) }
    }
    const options = comparisonOptions(of, benchEight, instance.id)
    const difference = (text: string) =>
      compareRuns(runOf(model), runOf(programOf(text)), benchEight, options).difference
    expect(difference(other)).toBeNull()
    expect(difference(other.replace('LD A,6', 'LD A,8'))?.sentence).toContain('A = 08h')
    expect(difference(other.replace('30H', '40H'))?.sentence).toContain('4600h = 40h')
  })
  test('a mutant that leaves another right value is no mistake that nobody notices', () => {
    const result = probe(of, benchEight)
    // `AND 5` in place of `LD A,5` is right by chance, whatever a check wants of A.
    const sure = result?.survivors.filter(({ suggestion }) => suggestion?.needsRuns !== true)
    expect(sure?.map(({ suggestion }) => suggestion?.words)).toEqual([])
  })
  test('the smallest edit that mends a hand-in leads to any of them', () => {
    const found = nearestPassing(programOf(' LD HL,0741H\n LD (4600H),HL\n LD A,6\n HALT\n'), of, benchEight)
    expect(found).toMatchObject({ outcome: 'found' })
  })
})
