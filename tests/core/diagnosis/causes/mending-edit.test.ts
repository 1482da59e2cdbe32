import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import { diagnose, type Diagnosis } from '../../../../core/diagnosis/index.ts'
import { exerciseFor, readOptionsFor } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'
import { exerciseOf } from '../../exercise/tram-depot.ts'

/** Adds up a list with its count in front, by an index register where the model answer uses HL. */
const sum = [
  ...['LD IX,4600h', 'LD B,(IX+0)', 'LD HL,0', 'LD D,0', 'INC B', 'JR TEST'],
  ...['NEXT: INC IX', 'LD E,(IX+0)', 'ADD HL,DE', 'TEST: DJNZ NEXT', 'LD (4720h),HL', 'HALT'],
]

function diagnosisOf(lines: readonly string[]): Diagnosis {
  const exercise = exerciseFor(exerciseOf('B1'), 0)
  const text = lines.map((line) => (line.includes(':') ? line : ` ${line}`)).join('\n')
  const program = readProgram({ format: 'assembly', text }, readOptionsFor(exercise, benchEight))
  expect(program.problems).toEqual([])
  return diagnose(program, exercise, benchEight, gradeProgram(program, exercise, benchEight))
}

const without = (text: string): readonly string[] => sum.map((line) => (line === text ? '' : line))
const instead = (text: string, other: string): readonly string[] => sum.map((line) => (line === text ? other : line))
const lineOf = (text: string): number => sum.indexOf(text) + 1

describe('an edit that makes everything right', { timeout: 300_000 }, () => {
  test('is none for a right answer', () => {
    expect(diagnosisOf(sum)).toMatchObject({ causes: [], repair: null })
  })
  test('puts in the instruction that was left out, and its place is told', () => {
    const { causes, repair } = diagnosisOf(without('ADD HL,DE'))
    expect(repair).toMatchObject({ kind: 'inserted', found: [], instruction: { found: null, wouldBe: 'ADD HL,DE' } })
    const told = causes.find(({ id }) => id === 'instruction-left-out')
    expect(told?.line).toBe(lineOf('TEST: DJNZ NEXT'))
    // Staff see the repair; the sentence gives nothing away.
    expect(`${told?.message} ${told?.found} ${told?.wanted}`).not.toContain('ADD')
  })
  test('silences what is seen at other places', () => {
    const { causes, repair } = diagnosisOf(instead('TEST: DJNZ NEXT', 'TEST: DJNZ NEXT+1'))
    expect(repair?.line).toBe(lineOf('TEST: DJNZ NEXT'))
    expect(causes.length).toBeGreaterThan(0)
    for (const { line } of causes) expect(Math.abs((line ?? 0) - lineOf('TEST: DJNZ NEXT'))).toBeLessThanOrEqual(1)
  })
  test('names the register that was taken for another', () => {
    const { causes, repair } = diagnosisOf(instead('LD D,0', 'LD A,0'))
    expect(repair?.line).toBe(lineOf('LD D,0'))
    expect(causes[0]?.line).toBe(lineOf('LD D,0'))
  })
})
