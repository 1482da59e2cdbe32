import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { hexcairn } from './hexcairn.ts'

const folder = mkdtempSync(join(tmpdir(), 'hexcairn-files-'))
afterAll(() => rmSync(folder, { recursive: true }))
const file = (name: string): string => join(folder, name)

// Half a period is 7 + 11 + 7 + 13·(94 − 1) + 8 + 7 + 12 T, so 997 Hz at 2.5 MHz (UM0080's T-states).
const bell = ' LD A,0\nBELL: XOR 1\n OUT (22h),A\n LD B,94\nWAIT: DJNZ WAIT\n JR BELL\n'

describe('hexcairn run writes files for other tools', () => {
  test('lanes, sound, steps and a session that runs again to the same end', () => {
    const session = file('bell.hexcairn.json')
    const words = [
      '--vcd',
      file('bell.vcd'),
      '--wav',
      file('bell.wav'),
      '--steps',
      file('bell.csv'),
      '--session',
      session,
    ]
    const first = hexcairn(['run', '-', '--t-states', '100000', ...words], bell)
    expect(first).toMatchObject({ code: 0, err: '' })
    expect(first.out).toContain(`lanes: ${file('bell.vcd')}`)
    expect(readFileSync(file('bell.vcd'), 'utf8')).toContain('$enddefinitions $end')
    expect(readFileSync(file('bell.wav')).subarray(0, 4).toString()).toBe('RIFF')
    const rows = readFileSync(file('bell.csv'), 'utf8').trimEnd().split('\r\n')
    const json = JSON.parse(hexcairn(['run', session, '--json']).out)
    expect(rows).toHaveLength(1 + json.steps)
    expect(json).toMatchObject({ end: { kind: 'budget-used-up' } })
    expect(JSON.parse(hexcairn(['run', '-', '--t-states', '100000', '--json'], bell).out)).toEqual(json)
  })

  test('a session that is none is told where it is wrong', () => {
    writeFileSync(file('odd.hexcairn.json'), '{"format": "hexcairn-session/1", "title": 7}')
    const { code, err } = hexcairn(['run', file('odd.hexcairn.json')])
    expect(code).toBe(2)
    expect(err).toContain('title')
  })

  test('a table of too many steps is refused before anything is written', () => {
    // 8 · 65,536 rounds of four instructions.
    const long = ' LD D,8\nOUTER: LD BC,0\nINNER: DEC BC\n LD A,B\n OR C\n JR NZ,INNER\n DEC D\n JR NZ,OUTER\n HALT\n'
    const { code, err } = hexcairn(['run', '-', '--steps', file('much.csv')], long)
    expect(code).toBe(2)
    expect(err).toContain('at most 1000000')
    expect(existsSync(file('much.csv'))).toBe(false)
  })
})

describe('hexcairn run makes a run of an exercise', () => {
  // Right where bit 7 of B, which nothing sets, happens to be 1.
  const lucky = ' BIT 7,B\n LD A,WANTED\n JR NZ,DONE\n INC A\nDONE: RET\n'
  const exercise = file('luck.yaml')
  writeFileSync(
    exercise,
    `format: hexcairn-exercise/1
id: LUCK
title: A test
board: bench-8
brief: Try it.
program: { ends: return, constants: { WANTED: 0Bh } }
given: { switches: 1, switchMoves: [{ at: 1 ms, to: 80h }] }
cases:
  - { id: one }
  - { id: two, calls: [{ registers: { c: 1 } }] }
groups: [{ id: all, title: All, marks: 100 }]
checks: [{ id: a, kind: registers, title: A, group: all, cases: [one], want: { a: 0Bh } }]
`,
  )
  writeFileSync(file('lucky.asm'), lucky)
  const program = file('lucky.asm')
  const run = (...words: string[]) => hexcairn(['run', program, '--exercise', exercise, ...words, '--json'])
  const accumulator = (out: string): number => JSON.parse(out).registers.af >> 8

  test('of the start that a report names, and its session is that run again', () => {
    const told = hexcairn(['grade', exercise, program])
    const line = told.out.split('\n').find((each) => each.includes('hexcairn run'))
    expect(line).toMatch(/--case one --seed 0 --start \d+$/)
    const words = line?.trim().split(' ').slice(5) ?? []
    const failing = run(...words, '--session', file('lucky.hexcairn.json'))
    expect(failing.code).toBe(0)
    expect(accumulator(failing.out)).not.toBe(0x0b)
    const start = Number(words.at(-1))
    expect(JSON.parse(failing.out).exercise).toEqual({ id: 'LUCK', caseId: 'one', seed: 0, start })
    const starts = [2, 3].map((each) => accumulator(run('--case', 'one', '--start', String(each)).out))
    expect(starts.filter((each) => each === 0x0b)).toHaveLength(1)
    const again = JSON.parse(hexcairn(['run', file('lucky.hexcairn.json'), '--json']).out)
    expect(again).toEqual(JSON.parse(failing.out))
    const session = JSON.parse(readFileSync(file('lucky.hexcairn.json'), 'utf8'))
    expect(session.start.switchMoves).toEqual([{ at: 2500, value: 0x80 }])
    writeFileSync(file('named.hexcairn.json'), JSON.stringify({ ...session, start: null }))
    const named = hexcairn(['run', file('named.hexcairn.json'), '--exercise', exercise, '--json'])
    expect(JSON.parse(named.out)).toEqual(again)
    expect(hexcairn(['run', file('named.hexcairn.json')]).err).toContain('--exercise')
  })

  test('whose program is called by another comes back whole', () => {
    const first = run('--case', 'two', '--session', file('called.hexcairn.json'))
    expect(JSON.parse(first.out).end).toEqual({ kind: 'halted' })
    expect(JSON.parse(hexcairn(['run', file('called.hexcairn.json'), '--json']).out)).toEqual(JSON.parse(first.out))
  })

  test('says which case is meant', () => {
    expect(run()).toMatchObject({ code: 2 })
    expect(run().out).toContain('--case is missing; its cases are one, two.')
    expect(run('--case', 'three').out).toContain('the case three was not found')
    expect(hexcairn(['run', program, '--start', '3']).err).toContain('--exercise is missing')
  })
})
