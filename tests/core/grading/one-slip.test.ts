import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, type Exercise } from '../../../core/exercise/index.ts'
import { grade, studentReport, type Report } from '../../../core/grading/index.ts'
import { exerciseOf, folders } from '../exercise/tram-depot.ts'
import { drawnSlips, gradedSlip, slipsOf } from './slips.ts'

/** Each costs a grade, of the depot clock half a second. */
const slipsOfEach = 10
const seed = 4_711

// B2 is a worksheet: its bytes are its answers, and each of them has its share.
describe('one slip in a model answer costs at most half of the marks', () => {
  test.each(folders)('%s', (folder) => {
    const exercise = exerciseOf(folder)
    const slips = drawnSlips(slipsOf(exercise), folder === 'D6' ? 4 : slipsOfEach, seed)
    const graded = slips.flatMap((slip) => gradedSlip(exercise, slip) ?? [])
    expect(graded.length).toBeGreaterThan(slips.length / 2)
    const low = graded.filter(({ score }) => score < 50).map(({ slip, score }) => `${score}: ${slip.words}`)
    expect(low).toEqual([])
  })
})

const twice = (nearlyRight: number | null, model?: string): Exercise => {
  const parsed = parseExercise({
    format: 'hexcairn-exercise/1',
    id: 'twice-and-one',
    title: 'Twice and one',
    board: 'bench-8',
    brief: 'Store twice the byte at 4600h, and one, at 4601h, and halt.',
    cases: [
      { id: 'three', given: { memory: [{ at: '4600h', bytes: '03' }] } },
      { id: 'any', visible: false, times: 8, draws: [{ at: '4600h', from: 10, to: 120 }] },
    ],
    groups: [{ id: 'function', title: 'What it does', marks: 100 }],
    checks: [
      {
        id: 'result',
        kind: 'memory',
        title: 'The result',
        group: 'function',
        want: [{ at: '4601h', bytes: 'model', length: 1 }],
      },
    ],
    model: { format: 'assembly', text: model ?? ' LD A,(4600h)\n ADD A,A\n INC A\n LD (4601h),A\n HALT\n' },
    ...(nearlyRight === null ? {} : { nearlyRight }),
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join(' '))
  return parsed.exercise
}
const reportOn = (exercise: Exercise, ...lines: readonly string[]): Report =>
  grade({ format: 'assembly', text: lines.map((line) => ` ${line}\n`).join('') }, exercise, benchEight, { seed: 2 })
const scoreOf = (exercise: Exercise, ...lines: readonly string[]): number => reportOn(exercise, ...lines).score

describe('a program that one edit would make right', () => {
  const exercise = twice(60)
  test('has what the exercise says, in the model answer’s way', () => {
    const report = reportOn(exercise, 'LD A,(4600h)', 'ADD A,A', 'DEC A', 'LD (4601h),A', 'HALT')
    expect(report).toMatchObject({ score: 60, isFullMarks: false, groups: [{ marks: 0 }] })
    expect(report.nearlyRight).toEqual({
      marks: 60,
      message: 'One byte or one instruction from right: 60 marks at least.',
    })
    expect(studentReport(report).nearlyRight).toEqual(report.nearlyRight)
  })
  const ways: readonly (readonly [string, readonly string[]])[] = [
    ['a wrong value', ['LD HL,4600h', 'LD A,(HL)', 'SLA A', 'SET 1,A', 'INC HL', 'LD (HL),A', 'HALT']],
    ['another register', ['LD HL,4600h', 'LD A,(HL)', 'ADD A,(HL)', 'ADD A,1', 'INC HL', 'LD (HL),B', 'HALT']],
    [
      'an instruction left out',
      ['LD HL,4600h', 'LD B,(HL)', 'LD A,B', 'SCF', 'ADC A,B', 'INC HL', 'HALT', 'LD (HL),A'],
    ],
    ['one too many', ['LD HL,4600h', 'LD B,(HL)', 'LD A,B', 'SCF', 'ADC A,B', 'INC HL', 'XOR A', 'LD (HL),A', 'HALT']],
  ]
  test.each(ways)('has it in a way of its own: %s', (_, lines) => expect(scoreOf(exercise, ...lines)).toBe(60))

  test('has it by a missing INC A, and needs none where its checks give more', () => {
    expect(scoreOf(exercise, 'LD A,(4600h)', 'ADD A,A', 'LD (4601h),A', 'HALT')).toBe(60)
    const report = reportOn(exercise, 'LD A,(4600h)', 'ADD A,A', 'INC A', 'LD (4601h),A', 'HALT')
    expect(report).toMatchObject({ score: 100, isFullMarks: true })
    expect(report.nearlyRight).toBe(undefined)
  })
  test('has what its checks give where the exercise says nothing', () => {
    const report = reportOn(twice(null), 'LD A,(4600h)', 'ADD A,A', 'DEC A', 'LD (4601h),A', 'HALT')
    expect(report.score).toBe(0)
    expect(report.nearlyRight).toBe(undefined)
  })
  test('is judged alike with every run of the model answer known or none', () => {
    const lines = ['LD HL,4600h', 'LD A,(HL)', 'SLA A', 'SET 1,A', 'INC HL', 'LD (HL),A', 'HALT']
    expect(JSON.stringify(reportOn(twice(60), ...lines))).toBe(JSON.stringify(reportOn(exercise, ...lines)))
  })
})

describe('what is not nearly right', () => {
  const exercise = twice(60)
  const programs: readonly (readonly [string, readonly string[]])[] = [
    ['a lone HALT', ['HALT']],
    ['a jump to itself', ['JR $']],
    ['a HALT and bytes that nothing comes to', ['HALT', 'DB 1,2,3,4,5,6,7']],
    ['the result of the sheet', ['LD A,7', 'LD (4601h),A', 'HALT']],
    ['two slips', ['LD A,(4600h)', 'ADD A,A', 'DEC A', 'LD (4602h),A', 'HALT']],
    ['half of it', ['LD A,(4600h)', 'ADD A,A', 'HALT']],
  ]
  test.each(programs)('%s', (_, lines) => expect(reportOn(exercise, ...lines).nearlyRight).toBe(undefined))

  test('anything where three instructions are the answer', () => {
    const short = twice(60, ' LD HL,4600h\n LD (4601h),HL\n HALT\n')
    expect(reportOn(short, 'LD HL,4500h', 'LD (4601h),HL', 'HALT').nearlyRight).toBe(undefined)
  })
})
