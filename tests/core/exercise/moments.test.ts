import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, studentView, type Exercise } from '../../../core/exercise/index.ts'
import { grade, type CheckResult } from '../../../core/grading/index.ts'
import { gradeWith } from './grade-with.ts'

function exerciseOf(parts: object): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    ...{ groups: [{ id: 'g', title: 'G', marks: 100 }], ...parts },
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

describe('a check looks at a moment in place of the end', () => {
  // 5 into 4600h at 4005h, then 6 at 400Ah, then 7; a loop between them.
  const text = `  LD HL,4600H
        LD (HL),5
        LD B,100
WAIT:   DJNZ WAIT
        INC (HL)
        INC (HL)
        HALT
`
  const at = (when: object, value: number): CheckResult =>
    gradeWith('memory', { want: [{ at: 0x4600, bytes: [value] }], when }, text)

  test('at a time: the state before it and after it', () => {
    // LD HL,nn 10 T, LD (HL),n 10 T: the write is done when the third instruction begins.
    expect([19, 20].map((time) => at({ time: `${time} T` }, 5).outcome)).toEqual(['failed', 'passed'])
    expect(at({ time: '1 s' }, 7)).toMatchObject({ outcome: 'failed', measured: 'not reached' })
  })
  test('at an address reached for the nth time, before it runs', () => {
    expect([5, 6].map((value) => at({ address: 0x4009 }, value).outcome)).toEqual(['passed', 'failed'])
    expect(at({ address: 0x400a }, 6).outcome).toBe('passed')
    expect([100, 101].map((nth) => at({ address: 0x4007, nth }, 5).measured)).toEqual(['4600h: 05', 'not reached'])
  })
  test('says when', () => {
    expect(at({ address: 0x4007, nth: 2 }, 9).message).toBe('At 4007h, the 2nd time 4600h holds 05h; wanted 09h.')
  })
  test('after the nth call of a routine has come back', () => {
    const calling = `  LD A,1
        CALL GLYPH
        LD A,2
        CALL GLYPH
        LD A,0
        HALT
`
    // Segments of 1 are b and c, of 2 a, b, d, e, g.
    const after = (nth: number): CheckResult =>
      gradeWith('registers', { want: { a: nth === 1 ? 0x06 : 0x5b }, when: { routine: 'GLYPH', nth } }, calling)
    expect([1, 2, 3].map((nth) => after(nth).outcome)).toEqual(['passed', 'passed', 'failed'])
    expect(after(3).message).toBe(
      'The run never came to the moment at which this is looked at (after the 3rd call of GLYPH).',
    )
  })
  test('registers compare with the model answer at its own same moment', () => {
    const exercise = exerciseOf({
      cases: [{ id: 'one' }],
      checks: [
        { id: 'a', kind: 'registers', title: 'A', group: 'g', want: { a: 'model' }, when: { routine: 'GLYPH' } },
      ],
      model: { format: 'assembly', text: '  LD A,3\n  CALL GLYPH\n  XOR A\n  HALT\n' },
    })
    const scoreOf = (figure: number): number =>
      grade({ format: 'assembly', text: `  LD A,${figure}\n  NOP\n  CALL GLYPH\n  HALT\n` }, exercise, benchEight).score
    expect([3, 4].map(scoreOf)).toEqual([100, 0])
  })
  test('a moment is one thing, for kinds that look at the end', () => {
    const codes = (check: object): readonly string[] =>
      parseExercise({
        ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
        ...{ groups: [{ id: 'g', title: 'G', marks: 100 }], cases: [{ id: 'one' }] },
        checks: [{ id: 'a', title: 'A', group: 'g', ...check }],
      }).problems.map(({ code }) => code)
    expect(codes({ kind: 'registers', want: { a: 1 }, when: { time: '1 ms' } })).toEqual([])
    expect(codes({ kind: 'registers', want: { a: 1 }, when: {} })).toEqual(['when'])
    expect(codes({ kind: 'registers', want: { a: 1 }, when: { time: '1 ms', address: 0x4000 } })).toEqual(['when'])
    expect(codes({ kind: 'size', max: 3, when: { time: '1 ms' } })).toEqual(['when'])
    expect(codes({ kind: 'registers', want: { a: 1 }, when: { call: 'each' } })).toEqual(['when'])
  })
})

describe('a routine called several times in one run', () => {
  const exercise = exerciseOf({
    program: { ends: 'return' },
    cases: [
      {
        id: 'calls',
        calls: [
          { registers: { a: 2, b: 3 }, expect: { sum: 5 } },
          { registers: { a: 200, b: 55 }, memory: [{ at: 0x4600, bytes: '11 22' }], expect: { sum: 255 } },
          { registers: { a: 0, b: 0 }, expect: { sum: 0 }, times: 2 },
        ],
      },
    ],
    checks: [
      {
        ...{ id: 'sum', kind: 'registers', title: 'S', group: 'g', credit: 'parts' },
        ...{ want: { a: '$sum' }, when: { call: 'each' } },
      },
      {
        id: 'kept',
        kind: 'registers-kept',
        title: 'K',
        group: 'g',
        registers: ['hl', 'ix', 'de_'],
        when: { call: 'each' },
      },
      {
        ...{ id: 'ram', kind: 'memory', title: 'M', group: 'g', elsewhere: 'unchanged', when: { call: 2 } },
        want: [{ at: 0x4600, bytes: '11 22' }],
      },
    ],
  })
  const outcomes = (text: string): readonly string[] => {
    const report = grade({ format: 'assembly', text }, exercise, benchEight)
    expect(report.problems).toEqual([])
    return report.checks.map(
      ({ outcome, message, share }) => `${outcome}: ${message}${share === null ? '' : ` (${share})`}`,
    )
  }

  test('is right when it is after each call', () => {
    expect(outcomes('  ADD A,B\n  RET\n')).toEqual([
      'passed: Right: right after each of 4 calls. (4 of 4 calls right)',
      'passed: Right: right after each of 4 calls.',
      'passed: Right: 4600h: 11 22; the rest unchanged.',
    ])
  })
  test('that works at its first call only is found, and by its calls it gets its share', () => {
    const once = `  ADD A,B
        LD (4610H),A
        LD A,0C9H
        LD (4000H),A
        LD A,(4610H)
        RET
`
    const [sum] = outcomes(once)
    expect(sum).toMatch(/^failed: After call 2 A = C8h; wanted A = FFh\. \d of 4 calls right\./)
  })
  test('that leaves something for the next call is found, whatever registers hold', () => {
    // Counts on HL from the call before.
    const kept = outcomes('  ADD A,B\n  LD HL,1234H\n  RET\n')[1]
    expect(kept).toMatch(/^failed: HL = 1234h after call 1; it was HL = .{4}h before it and has to come back\.$/)
  })
  test('values that no visible check wants are not in the student’s view', () => {
    expect(studentView(exercise).cases[0]?.calls[0]?.expect).toEqual({ sum: 5 })
  })
  test('needs RET at the end', () => {
    const parsed = parseExercise({
      ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
      ...{ groups: [{ id: 'g', title: 'G', marks: 100 }], cases: [{ id: 'one', calls: [{}] }] },
      checks: [{ id: 'a', kind: 'run-end', title: 'A', group: 'g' }],
    })
    expect(parsed.problems.map(({ code }) => code)).toEqual(['calls'])
  })
})
