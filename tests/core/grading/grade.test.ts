import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, studentView, type ProgramText } from '../../../core/exercise/index.ts'
import { grade, studentReport, type Report } from '../../../core/grading/index.ts'
import { record } from '../../../core/run/index.ts'
import { readOptionsFor, runRequestFor } from '../../../core/exercise/index.ts'
import { readProgram } from '../../../core/assembler/index.ts'
import { exerciseOf, programOf } from '../exercise/tram-depot.ts'

const hex = (text: string): ProgramText => ({ format: 'hex', text })
const asm = (text: string): ProgramText => ({ format: 'assembly', text })
const gradeA1 = (source: ProgramText): Report => grade(source, exerciseOf('A1'), benchEight)
const check = (report: Report, id: string) => report.checks.find((each) => each.id === id)

describe('a report', () => {
  test('is the same text every time, in whatever order programs are graded', () => {
    const exercise = exerciseOf('A4')
    const texts = (): string[] =>
      ['model.asm', 'wrong-xor-clears-carry.asm', 'other.asm'].map((file) =>
        JSON.stringify(grade(programOf('A4', file), exercise, benchEight, { seed: 11 })),
      )
    const first = texts()
    gradeA1(hex('4000: 3E 05 18 FE'))
    expect(texts()).toEqual(first)
  })
  test('says for each check what was measured, wanted, and where it was decided', () => {
    const report = gradeA1(hex('4000: 3E 50 06 03 80 10 FD 76'))
    expect(check(report, 'a-at-halt')).toMatchObject({
      ...{ outcome: 'failed', measured: 'A = 56h', wanted: 'A = 0Bh', marks: 0, outOf: 20 },
      message: 'At the end A = 56h; wanted A = 0Bh.',
      // The last ADD A,B at 4004h: LD, LD, two rounds of ADD and DJNZ before it.
      decidedAt: { caseId: 'sheet', step: 6, t: 7 + 7 + 17 + 17, address: 0x4004 },
    })
    expect(report.firstWrong).toMatchObject({ checkId: 'a-at-halt', step: 6, address: 0x4004 })
    // Seven of eight bytes are right: 7/8 of 65 for them; the 5 for the end and the 10 for care count in full.
    expect(report.score).toBe(71.88)
  })
  test('the same place is found when the run is recorded anew from the same parts', () => {
    const exercise = exerciseOf('C1')
    const source = programOf('C1', 'wrong-a-spoiled.asm')
    const report = grade(source, exercise, benchEight, { seed: 5 })
    const program = readProgram(source, readOptionsFor(exercise, benchEight))
    const recording = record(runRequestFor(exercise, benchEight, program, 'signal', report.seed))
    const { step, t, address } = report.firstWrong ?? { step: -1, t: -1, address: -1 }
    const [at] = recording.steps(step, step + 1)
    expect(at?.pc).toBe(address)
    expect(t).toBeGreaterThanOrEqual(at?.t ?? Infinity)
    expect(t).toBeLessThanOrEqual((at?.t ?? 0) + (at?.tStates ?? 0))
  })
  test('tells its progress, one call for each run', () => {
    const calls: string[] = []
    const onProgress = ({ done, total }: { done: number; total: number }) => calls.push(`${done}/${total}`)
    grade(programOf('B3', 'model.asm'), exerciseOf('B3'), benchEight, { onProgress })
    expect(calls).toEqual(['1/2', '2/2'])
  })
})

describe('a hand-in that cannot be read', () => {
  test.each([
    ['an odd digit', hex('4000: 3E 05 0'), 'odd-digit'],
    ['an address outside RAM', hex('0000: 3E 05'), 'out-of-place'],
    ['nothing', hex(''), null],
    ['a wrong checksum', { format: 'intel-hex', text: ':014000003E80\n:00000001FF\n' } as const, null],
    ['an unknown instruction', asm('  LOAD A,5\n  HALT\n'), null],
    ['an assembly text without a byte', asm('; nothing yet\n'), null],
  ])('%s is unreadable, with its problems and no marks', (_, source, code) => {
    const report = gradeA1(source)
    expect(report).toMatchObject({ status: 'unreadable', score: 0, isFullMarks: false, cases: [], firstWrong: null })
    const errors = report.problems.filter((problem) => problem.severity === 'error')
    expect(errors.length).toBeGreaterThan(0)
    if (code !== null) expect(errors.map((problem) => problem.code)).toContain(code)
    expect(report.checks.every((each) => each.outcome === 'not-reached' && each.marks === 0)).toBe(true)
  })
  test('a form that the exercise does not take', () => {
    const parsed = parseExercise({ ...JSON.parse(JSON.stringify(exerciseOf('A1'))), accepts: ['hex'] })
    if (!parsed.isOk) throw new Error('not read')
    const report = grade(asm(' HALT\n'), parsed.exercise, benchEight)
    expect(report.problems.map((problem) => problem.code)).toContain('format-not-accepted')
  })
})

describe('a program that does not end by itself', () => {
  test('names the loop that it sat in', () => {
    const report = gradeA1(hex('4000: 3E 05 06 03 80 10 FD 18 FE'))
    expect(check(report, 'a-at-halt')).toMatchObject({ outcome: 'budget-used-up' })
    expect(check(report, 'a-at-halt')?.measured).toContain('4007h to 4007h')
    expect(check(report, 'halts')).toMatchObject({ outcome: 'failed' })
    expect(report.cases[0]?.end.kind).toMatch(/^(budget-used-up|proven-loop)$/)
  })
  test('that runs out of its bytes is a machine fault where it left', () => {
    const report = gradeA1(hex('4000: 3E 05 06 03 80 10 FD'))
    expect(check(report, 'a-at-halt')).toMatchObject({ outcome: 'machine-fault' })
    expect(check(report, 'a-at-halt')?.message).toContain('ran out of the program to 4007h')
  })
})

describe('what a student gets', () => {
  const report = grade(programOf('B3', 'wrong-counter-in-b.asm'), exerciseOf('B3'), benchEight)
  const sheetOnly = grade(programOf('A4', 'wrong-sheet-only.asm'), exerciseOf('A4'), benchEight)

  test('of a hidden check its category, outcome and marks', () => {
    const [hidden] = studentReport(sheetOnly).checks.filter((each) => !each.isVisible)
    expect(hidden).toMatchObject({ id: 'hidden-1', measured: null, wanted: null, tolerance: null, decidedAt: null })
    expect(hidden).toMatchObject({
      title: 'Hidden check of memory at the end',
      message: 'Failed: memory at the end. The same result in every run, whatever was given.',
    })
  })
  test('nothing of a hidden check or a hidden case', () => {
    for (const [full, secrets] of [
      [report, ['LINE 24', 'other-text', 'Another text', '"line"']],
      [sheetOnly, ['drawn', 'any-fares', 'Drawn']],
    ] as const) {
      const seen = JSON.stringify(studentReport(full))
      for (const secret of secrets) {
        expect(JSON.stringify(full)).toContain(secret)
        expect(seen).not.toContain(secret)
      }
    }
  })
  test('no figures of a visible check that failed on a hidden case only', () => {
    // Four NOPs more a car: fast enough for the three cars of the sheet, too slow for 255.
    const { text } = programOf('B1', 'model.asm')
    const slower = text.replace('COUNT:', 'COUNT:  NOP\n        NOP\n        NOP\n        NOP\n')
    const full = grade(asm(slower), exerciseOf('B1'), benchEight)
    expect(check(full, 'time')).toMatchObject({ outcome: 'out-of-tolerance', decidedAt: { caseId: 'all' } })
    expect(check(studentReport(full), 'time')).toMatchObject({
      ...{ outcome: 'out-of-tolerance', measured: null, wanted: null, decidedAt: null },
      message: 'Right on the runs that you can see, wrong on a hidden one. 4 of 6 runs right.',
    })
    expect(studentReport(full).score).toBe(full.score)
    expect(studentReport(full).cases.every((each) => each.isVisible)).toBe(true)
  })
  test('of a check that tells the result alone not what would be right', () => {
    const exercise = exerciseOf('B2')
    const full = grade(programOf('B2', 'wrong-decimal.hex'), exercise, benchEight)
    expect(check(full, 'forward')).toMatchObject({ outcome: 'failed', wanted: '4020h: 18 0E' })
    expect(check(studentReport(full), 'forward')).toMatchObject({
      ...{ outcome: 'failed', measured: '4020h: 18 14', wanted: null, message: 'Not right yet.' },
    })
    expect(JSON.stringify([studentReport(full), studentView(exercise, benchEight)])).not.toContain('18 0E')
  })
})

test('a report tells when the switches of a run were moved, as far as it went', () => {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    cases: [
      { id: 'still', given: { switches: 1 } },
      {
        id: 'moved',
        given: {
          switches: 1,
          switchMoves: [
            { at: '10 T', to: 3 },
            { at: '20 T', to: 3 },
            { at: '1 s', to: 0 },
          ],
        },
      },
    ],
    groups: [{ id: 'g', title: 'G', marks: 100 }],
    checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join())
  const { cases } = grade(
    { format: 'assembly', text: ' LD B,9\nBACK: DJNZ BACK\n HALT\n' },
    parsed.exercise,
    benchEight,
  )
  expect(cases.map(({ switches }) => switches)).toEqual([
    undefined,
    [
      { t: 0, value: 1 },
      { t: 10, value: 3 },
    ],
  ])
})
