import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { boardMisfits, parseExercise, runRequestFor, type Exercise } from '../../../core/exercise/index.ts'
import { gradeWith } from './grade-with.ts'

function exerciseOf(given: object): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    cases: [{ id: 'one', given }],
    groups: [{ id: 'g', title: 'G', marks: 100 }],
    checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

function pressed(given: object): readonly string[] {
  const program = readProgram({ format: 'hex', text: '76' }, { origin: 0x4000 })
  return runRequestFor(exerciseOf(given), benchEight, program, 'one')
    .given.keys.toSorted((a, b) => a.from - b.from)
    .map(({ key, from, isIdle }) => `${key}${isIdle === true ? '?' : ''}@${from / 2500}`)
}

const misfits = (given: object): readonly string[] =>
  boardMisfits(exerciseOf(given), benchEight).map(({ code }) => code)

describe('idle keys', () => {
  const two = (gap: number) => [
    { key: '0', at: '100 ms', for: '60 ms' },
    { key: '0', at: `${160 + gap} ms`, for: '60 ms' },
  ]

  test('are pressed before the first key and in the gaps, clear of what is looked at after a press', () => {
    expect(pressed({ keys: two(300), idleKeys: ['1', 'F', 'E'] })).toEqual(['0@100', '1?@230', 'F?@310', '0@460'])
  })
  test('need so much room, and it is said where it is missing', () => {
    expect([149, 150].map((gap) => misfits({ keys: two(gap), idleKeys: ['1'] }))).toEqual([['no-room'], []])
  })
  test('`others` are all that the exercise never presses', () => {
    const keys = pressed({ keys: two(3000), idleKeys: 'others' })
    const idle = keys.filter((each) => each.includes('?'))
    expect(idle).toHaveLength(benchEight.keypad.keys.flat().filter((key) => key !== '').length - 1)
    expect(idle.some((each) => each.startsWith('0?'))).toBe(false)
  })
  test('that the board does not have are told', () => {
    expect(misfits({ keys: two(300), idleKeys: ['X'] })).toContain('unknown-key')
  })
  test('find a program that takes any key for the one of the task', () => {
    // Counts key 0 in 4600h until STOP; the other one counts every key in the column of key 0.
    const given = {
      idleKeys: 'others',
      keys: [
        { key: '0', at: '100 ms', for: '60 ms' },
        { key: '0', at: '2 s', for: '60 ms' },
        { key: 'STOP', at: '2.2 s', for: '60 ms' },
      ],
    }
    const counting = (test_: string): string => `
        XOR A
        LD (4600H),A
BACK:   CALL GETKEY
        CP 17H
        JR Z,DONE
${test_}
        LD HL,4600H
        INC (HL)
        JR BACK
DONE:   HALT
`
    const check = { want: [{ at: 0x4600, bytes: '02' }] }
    const parts = { budget: '4 s', cases: [{ id: 'one', given }] }
    expect(gradeWith('memory', check, counting('  OR A\n  JR NZ,BACK'), parts)).toMatchObject({ outcome: 'passed' })
    expect(gradeWith('memory', check, counting(''), parts)).toMatchObject({ outcome: 'failed' })
  })
})
