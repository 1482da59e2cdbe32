import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, type Exercise } from '../../../core/exercise/index.ts'
import { grade, sharedMarks, studentReport, type Report } from '../../../core/grading/index.ts'

function exerciseOf(fields: object): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    ...fields,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

/** Marks of checks `a:3! b:1` in groups of so many marks, when so much of each is right; `!` is a gate. */
function marks(
  groups: readonly (readonly [marks: number, checks: string, more?: object])[],
  right: Readonly<Record<string, number>>,
): string {
  const exercise = exerciseOf({
    cases: [{ id: 'one' }],
    groups: groups.map(([value, , more], i) => ({ id: `g${i}`, title: 'G', marks: value, ...more })),
    checks: groups.flatMap(([, checks], i) =>
      checks.split(' ').map((written) => {
        const [id = '', weight = '1'] = written.replace('!', '').split(':')
        const gate = written.endsWith('!')
        return { id, kind: 'run-end', title: id, group: `g${i}`, weight: Number(weight), gate }
      }),
    ),
  })
  return sharedMarks(exercise, (id) => right[id] ?? 0)
    .map((each) => String(Math.round(each.marks * 100) / 100))
    .join(' ')
}

describe('marks', () => {
  test('a group’s marks are shared by weight', () => {
    expect(marks([[100, 'a:3 b:1']], { a: 1, b: 1 })).toBe('75 25')
    expect(marks([[100, 'a:3 b:1']], { b: 1 })).toBe('0 25')
  })
  test('a check that is right in part gets that part', () => {
    expect(marks([[100, 'a:3 b:1']], { a: 13 / 16, b: 0.5 })).toBe('60.94 12.5')
  })
  test('a failed gate takes its own group and no other', () => {
    const groups = [
      [60, 'a! b'],
      [40, 'c d'],
    ] as const
    expect(marks(groups, { a: 1, b: 1, c: 1, d: 1 })).toBe('30 30 20 20')
    expect(marks(groups, { b: 1, c: 1, d: 1 })).toBe('0 0 20 20')
  })
  test('a group counts in full once half of what it rests on is earned, and before that in proportion', () => {
    const groups = [
      [60, 'a:3 b'],
      [40, 'c', { restsOn: ['a'] }],
    ] as const
    expect(marks(groups, { a: 1, b: 0, c: 1 })).toBe('45 0 40')
    expect(marks(groups, { a: 0.5, b: 1, c: 1 })).toBe('22.5 15 40')
    expect(marks(groups, { a: 0.49, b: 1, c: 1 })).toBe('22.05 15 39.2')
    expect(marks(groups, { a: 0.125, b: 1, c: 1 })).toBe('5.63 15 10')
    expect(marks(groups, { a: 0, b: 1, c: 1 })).toBe('0 15 0')
  })
  test('a group stands for its checks, and what they rest on in turn is felt', () => {
    const groups = [
      [50, 'a b'],
      [30, 'c', { restsOn: ['g0'] }],
      [20, 'd', { restsOn: ['c'] }],
    ] as const
    expect(marks(groups, { a: 1, b: 0, c: 1, d: 1 })).toBe('25 0 30 20')
    expect(marks(groups, { a: 0.25, b: 0, c: 1, d: 1 })).toBe('6.25 0 7.5 10')
  })
})

describe('a document whose checks rest on others', () => {
  const documentOf = (restsOn: readonly string[], own: readonly string[] = []): object => ({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    cases: [{ id: 'one' }],
    groups: [
      { id: 'first', title: 'G', marks: 60 },
      { id: 'second', title: 'G', marks: 40, restsOn },
    ],
    checks: [
      { id: 'a', kind: 'run-end', title: 'A', group: 'first', restsOn: own },
      { id: 'second', kind: 'run-end', title: 'B', group: 'second' },
    ],
  })
  const codes = (document: object): readonly string[] => parseExercise(document).problems.map(({ code }) => code)
  test('may not rest on itself by way of another', () => {
    expect(codes(documentOf(['a']))).toEqual([])
    expect(codes(documentOf(['a'], ['second']))).toContain('circle')
  })
  test('names checks and groups that are there, and no name that is both', () => {
    expect(codes(documentOf(['aa']))).toEqual(['dangling'])
    expect(codes(documentOf([], ['second']))).toEqual(['two-things'])
  })
  test('gives marks by parts only where the kind has some', () => {
    const with_ = (credit: string): object => ({
      ...documentOf([]),
      checks: [
        { id: 'a', kind: 'run-end', title: 'A', group: 'first', credit },
        { id: 'b', kind: 'run-end', title: 'B', group: 'second' },
      ],
    })
    expect(codes(with_('runs'))).toEqual([])
    expect(codes(with_('parts'))).toEqual(['no-parts'])
  })
})

/** Four cases: the program adds 1 to a byte; `limit` cuts the size. */
const byShare = (credit: string): Exercise =>
  exerciseOf({
    cases: [0, 1, 127, 255].map((value, i) => ({
      id: `c${i}`,
      visible: i < 2,
      given: { memory: [{ at: 0x4600, bytes: [value, 0] }] },
      expect: { sum: [(value + 1) & 0xff, 0x55] },
    })),
    groups: [
      { id: 'function', title: 'What it does', marks: 80 },
      { id: 'care', title: 'Care', marks: 20, restsOn: ['sum'] },
    ],
    checks: [
      {
        ...{ id: 'sum', kind: 'memory', title: 'The sum is right', group: 'function', credit },
        want: [{ at: 0x4600, bytes: '$sum' }],
      },
      { id: 'size', kind: 'size', title: 'At most 20 bytes', group: 'care', max: 20 },
    ],
  })

const hex = (text: string): { format: 'hex'; text: string } => ({ format: 'hex', text })
const right = hex('21 00 46 34 23 36 55 76')
/** INC (HL), then JP P past an LD (HL),0 that it should not have: wrong where the sum is 80h, and right for 00h. */
const noCarry = hex('21 00 46 34 F2 09 40 36 00 23 36 55 76')
const empty = hex('76')

function rows({ checks }: Report): readonly string[] {
  return checks.map(({ marks: own, outcome, share }) => `${outcome} ${own} ${share ?? '-'}`)
}

describe('marks by share', () => {
  test('a nearly right program gets nearly full marks by the runs that are right', () => {
    const report = grade(noCarry, byShare('runs'), benchEight)
    expect(rows(report)).toEqual(['failed 60 3 of 4 runs right', 'passed 20 -'])
    expect(report).toMatchObject({ score: 80, isFullMarks: false })
    expect(report.checks[0]?.message).toMatch(/^At the end 4600h holds 00h; wanted 80h\. 3 of 4 runs right\.$/)
    expect(report.checks[1]?.message).toBe('Right: 13 bytes.')
  })
  test('by the bytes that are right', () => {
    const report = grade(noCarry, byShare('parts'), benchEight)
    expect(rows(report)).toEqual(['failed 70 7 of 8 bytes right', 'passed 20 -'])
  })
  test('none unless asked for', () => {
    expect(rows(grade(noCarry, byShare('whole'), benchEight))).toEqual(['failed 0 -', 'skipped-by-gate 0 -'])
  })
  test('all for a right program', () => {
    for (const credit of ['whole', 'runs', 'parts']) {
      expect(grade(right, byShare(credit), benchEight)).toMatchObject({ score: 100, isFullMarks: true })
    }
  })
  test('a program that does nothing gets none, and is told what is right and when it counts', () => {
    for (const credit of ['whole', 'runs', 'parts']) {
      const report = grade(empty, byShare(credit), benchEight)
      expect(report.score).toBe(0)
      expect(report.checks[1]).toMatchObject({
        outcome: 'skipped-by-gate',
        message: 'Right: 1 byte. It counts once “The sum is right” is right.',
      })
    }
  })
  test('bytes that stood there before the run earn nothing', () => {
    const exercise = exerciseOf({
      given: { memory: [{ at: 0x4600, bytes: [1, 2, 3, 9] }] },
      cases: [{ id: 'one' }],
      groups: [{ id: 'g', title: 'G', marks: 100 }],
      checks: [
        {
          ...{ id: 'sorted', kind: 'memory', title: 'S', group: 'g', credit: 'parts' },
          want: [{ at: 0x4600, bytes: [1, 2, 7, 8] }],
        },
      ],
    })
    const marked = (text: string): unknown => grade(hex(text), exercise, benchEight).score
    expect(marked('76')).toBe(0)
    expect(marked('21 02 46 36 07 76')).toBe(50)
    expect(marked('21 02 46 36 07 23 36 08 76')).toBe(100)
  })
  test('what stands in memory counts though the run does not end, and the missing end is paid for once', () => {
    const end = { id: 'ends', kind: 'run-end', title: 'It halts', group: 'care' }
    const sum = {
      ...{ id: 'sum', kind: 'memory', title: 'S', group: 'function', credit: 'parts' },
      want: [{ at: 0x4600, bytes: [1, 2] }],
    }
    const exercise = (checks: readonly object[]): Exercise =>
      exerciseOf({
        cases: [{ id: 'one' }],
        groups: [
          { id: 'function', title: 'F', marks: 80 },
          { id: 'care', title: 'C', marks: 20, restsOn: ['sum'] },
        ],
        checks: [...checks, { id: 'size', kind: 'size', title: 'Z', group: 'care', max: 20 }],
      })
    // It stores 1 and 2 and then goes round for ever, or runs on behind its last byte.
    const stored = '21 00 46 36 01 23 36 02'
    for (const [text, outcome] of [
      [`${stored} 18 FE`, 'budget-used-up'],
      [stored, 'machine-fault'],
    ] as const) {
      const report = grade(hex(text), exercise([sum, end]), benchEight)
      expect(rows(report)).toEqual([
        `${outcome} 80 2 of 2 bytes right; 1 run did not come to an end`,
        'failed 0 -',
        'passed 10 -',
      ])
      expect(report.isFullMarks).toBe(false)
      // Where no other check says that it has to end, the end is a part of this one.
      expect(grade(hex(text), exercise([sum]), benchEight).checks[0]?.marks).toBe(40)
    }
    expect(grade(hex('18 FE'), exercise([sum, end]), benchEight).score).toBe(0)
  })
  test('right bytes in the wrong place earn half', () => {
    const exercise = exerciseOf({
      cases: [{ id: 'one' }],
      groups: [{ id: 'g', title: 'G', marks: 100 }],
      checks: [
        {
          ...{ id: 'word', kind: 'memory', title: 'W', group: 'g', credit: 'parts' },
          want: [{ at: 0x4600, bytes: [0x37, 0x73] }],
        },
      ],
    })
    const marked = (text: string): number => grade(hex(text), exercise, benchEight).score
    expect(marked('21 37 73 22 00 46 76')).toBe(100)
    expect(marked('21 73 37 22 00 46 76')).toBe(50)
    expect(marked('21 37 73 22 01 46 76')).toBe(50)
    expect(marked('21 37 73 22 03 46 76')).toBe(0)
    expect(marked('21 37 74 22 00 46 76')).toBe(50)
    expect(marked('21 74 36 22 00 46 76')).toBe(0)
  })
  test('the same result in every run earns nothing where others are wanted', () => {
    for (const credit of ['runs', 'parts']) {
      // It leaves 01 55 whatever it finds, which is right in the first of four runs.
      const { score, checks } = grade(hex('21 00 46 36 01 23 36 55 76'), byShare(credit), benchEight)
      expect(score).toBe(0)
      expect(checks[0]?.message).toContain('The same result in every run, whatever was given.')
    }
  })
  test('a student reads the share of a check that is wrong on a hidden case alone', () => {
    const seen = studentReport(grade(noCarry, byShare('runs'), benchEight)).checks[0]
    expect(seen?.message).toBe('Right on the runs that you can see, wrong on a hidden one. 3 of 4 runs right.')
    expect(seen?.measured).toBeNull()
  })
})
