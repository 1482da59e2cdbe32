import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { boardMisfits, parseExercise, runRequestFor, studentView, type Exercise } from '../../../core/exercise/index.ts'
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

describe('switches over time', () => {
  test('become moves at T-states; a case that has none takes those of the exercise', () => {
    const program = readProgram({ format: 'hex', text: '76' }, { origin: 0x4000 })
    const of = exerciseOf({ switches: 1, switchMoves: [{ at: '2 ms', to: '81h' }] })
    const both = { ...of, given: of.cases[0]?.given ?? null, cases: of.cases.map((each) => ({ ...each, given: null })) }
    for (const exercise of [of, both]) {
      const { given } = runRequestFor(exercise, benchEight, program, 'one')
      expect(given).toMatchObject({ switches: 1, switchMoves: [{ at: 5000, value: 0x81 }] })
    }
    expect(runRequestFor(exerciseOf({}), benchEight, program, 'one').given).not.toHaveProperty('switchMoves')
  })

  test('a door that opens and closes is counted, and not by a program that looks once', () => {
    const counting = (loop: string): string => `  LD HL,4600H
        LD (HL),0
WAIT:   IN A,(25H)
        BIT 2,A
        JR Z,WAIT
        INC (HL)
OPEN:   IN A,(25H)
        BIT 2,A
        JR NZ,OPEN
        LD A,(HL)
        CP ${loop}
        JR NZ,WAIT
        HALT
`
    const switchMoves = ['04h', '00h', '04h', '00h'].map((to, i) => ({ at: `${20 + 10 * i} ms`, to }))
    const parts = { budget: '1 s', cases: [{ id: 'one', given: { switchMoves } }] }
    const check = { want: [{ at: 0x4600, bytes: '02' }] }
    expect(gradeWith('memory', check, counting('2'), parts).outcome).toBe('passed')
    expect(gradeWith('memory', check, counting('1'), parts).outcome).toBe('failed')
  })

  test('that the board does not have are told', () => {
    const rows = { ...benchEight, switches: { port: 0x25, bits: [0, 1] } }
    const given = {
      switches: 4,
      switchMoves: [
        { at: '1 ms', to: 2 },
        { at: '2 ms', to: '80h' },
      ],
      idleSwitches: [0, 6],
    }
    expect(boardMisfits(exerciseOf(given), rows).map(({ path }) => path.join('.'))).toEqual([
      'cases.0.given.switches',
      'cases.0.given.switchMoves.1.to',
      'cases.0.given.idleSwitches.1',
    ])
  })
})

describe('idle switches', () => {
  const program = readProgram({ format: 'hex', text: '76' }, { origin: 0x4000 })
  const many = (cases: readonly object[]): Exercise => {
    const parsed = parseExercise({
      ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
      cases,
      groups: [{ id: 'g', title: 'G', marks: 100 }],
      checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
    })
    if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
    return parsed.exercise
  }
  const moved = (of: Exercise, id = 'one'): readonly string[] => {
    const { switches, switchMoves = [] } = runRequestFor(of, benchEight, program, id).given
    const start = switches.toString(16)
    return [
      start,
      ...switchMoves.map(({ at, value, isIdle }) => `${value.toString(16)}${isIdle === true ? '?' : ''}@${at / 2500}`),
    ]
  }

  test('stand as the run has them at the start, and are moved and moved back in the gaps, the task’s moves between them', () => {
    const given = {
      switches: 1,
      switchMoves: [
        { at: '100 ms', to: 3 },
        { at: '300 ms', to: 0 },
      ],
    }
    expect(moved(exerciseOf({ ...given, idleSwitches: [7] }))).toEqual(['81', '83@100', '3?@170', '83?@210', '80@300'])
  })

  test('are on by turns from run to run; a run that is hidden counts for itself', () => {
    const given = { switches: 1, idleSwitches: 'others' }
    const of = many(['a', 'x', 'b', 'c', 'd'].map((id) => ({ id, visible: id !== 'x', given })))
    expect(['a', 'b', 'c', 'd', 'x'].map((id) => moved(of, id)[0])).toEqual(['ab', '55', 'ff', 'ab', 'ab'])
  })

  test('`others` are all that no case has on, at the start or later; a student’s view comes to the same', () => {
    const of = many([
      {
        id: 'one',
        given: { idleSwitches: 'others', idleKeys: 'others', keys: [{ key: '0', at: '5 s', for: '60 ms' }] },
      },
      { id: 'two', given: { switches: 4 } },
      {
        id: 'hidden',
        visible: false,
        given: { switchMoves: [{ at: '1 s', to: '10h' }], keys: [{ key: '7', at: '1 s', for: '60 ms' }] },
      },
    ])
    expect(moved(of)[0]).toBe('a2')
    const view = studentView(of, benchEight)
    expect(view.cases).toHaveLength(2)
    expect(runRequestFor(view, benchEight, program, 'one').given).toEqual(
      runRequestFor(of, benchEight, program, 'one').given,
    )
    expect(runRequestFor(of, benchEight, program, 'one').given.keys.some(({ key }) => key === '7')).toBe(false)
  })

  test('take their turn behind idle keys where there is room', () => {
    const given = { keys: [{ key: '0', at: '250 ms', for: '60 ms' }], idleKeys: ['1'], idleSwitches: [0] }
    expect(pressed(given)).toEqual(['1?@40', '0@250'])
    expect(moved(exerciseOf(given))).toEqual(['1', '0?@120', '1?@160'])
  })

  test('may not be one that the case has on', () => {
    expect(misfits({ switches: 2, idleSwitches: [1] })).toEqual(['used'])
    expect(misfits({ switchMoves: [{ at: '1 ms', to: 2 }], idleSwitches: [1] })).toEqual(['used'])
    expect(misfits({ switches: 2, idleSwitches: [0] })).toEqual([])
  })

  test('find a program that takes any switch for the one of the task', () => {
    const shows = (test_: string): string =>
      `  IN A,(25H)\n${test_}  LD B,0\n  JR Z,OFF\n  INC B\nOFF: LD A,B\n  LD (4600H),A\n  HALT\n`
    const cases = [
      { id: 'on', given: { switches: 8 }, expect: { byte: 1 } },
      { id: 'off', expect: { byte: 0 } },
    ]
    const result = (text: string, given: object): string =>
      gradeWith('memory', { want: [{ at: 0x4600, bytes: ['$byte'] }] }, text, { cases, given }).outcome
    expect([{}, { idleSwitches: 'others' }].map((given) => result(shows('  AND 8\n'), given))).toEqual([
      'passed',
      'passed',
    ])
    expect([{}, { idleSwitches: 'others' }].map((given) => result(shows('  OR A\n'), given))).toEqual([
      'passed',
      'failed',
    ])
    expect(result(shows('  CP 0F0H\n  RLA\n  CPL\n  AND 1\n'), { idleSwitches: 'others' })).toBe('failed')
  })
})
