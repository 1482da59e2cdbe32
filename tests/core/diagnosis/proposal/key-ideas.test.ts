import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import { draftExercise, type Draft, type ExerciseDraft } from '../../../../core/diagnosis/index.ts'
import { staffReadOptionsFor } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'

const keys = [300, 700, 1100, 1500].map((at, i) => ({ key: '3715'.slice(i, i + 1), at: `${at} ms`, for: '100 ms' }))
const draft = (brief: string, assembly: string, some: Partial<ExerciseDraft> = {}): Draft =>
  draftExercise(
    {
      ...{ title: 'Passengers', brief, model: { format: 'assembly', text: assembly } },
      ...{ fields: { given: { keys } }, ending: 'runs-on', lasts: '2 s' },
      ...some,
    },
    benchEight,
  )
const chosen = ({ proposals }: Draft): Readonly<Record<string, Readonly<Record<string, unknown>>>> =>
  Object.fromEntries(proposals.filter(({ isChosen }) => isChosen).map(({ check }) => [String(check['id']), check]))
const score = ({ exercise }: Draft, assembly: string): number => {
  if (exercise === null) throw new Error('it is complete')
  const program = readProgram({ format: 'assembly', text: assembly }, staffReadOptionsFor(exercise, benchEight))
  expect(program.problems).toEqual([])
  return gradeProgram(program, exercise, benchEight).score
}

/** Counts presses in 4600h and shows the count on the last digit; `step` is what each key does to the byte at HL. */
const counting = (step: string, shown = 'LD A,(4600h)'): string =>
  ` LD HL,4700h\n LD B,8\nCLEAR: LD (HL),0\n INC HL\n DJNZ CLEAR\n XOR A\n LD (4600h),A
NEXT: ${shown}\n CALL GLYPH\n LD (4707h),A\n CALL GETKEY\n LD HL,4600h\n ${step}\n JR NEXT\n`

describe('a program that counts keys', () => {
  const told = draft('Count the keys at 4600h and show the count on the last digit.', counting('INC (HL)'))
  test('is asked for the display and for memory after each key', () => {
    expect(told.problems).toEqual([])
    expect(chosen(told)).toMatchObject({
      'after-key': { kind: 'shown-after-key', signs: [1, 2, 3, 4].map((count) => `       ${count}`), credit: 'parts' },
      'held-after-key': { kind: 'memory-after-key', at: '4600h', bytes: ['01', '02', '03', '04'] },
    })
  })
  test('one that does otherwise at some key loses marks, one in another style none', () => {
    // One instruction from right: what the checks give is less, and the draft allows 60 for it.
    expect(score(told, counting('INC (HL)\n INC (HL)'))).toBeLessThanOrEqual(60)
    expect(score(told, counting('INC (HL)', 'LD A,(4600h)\n RES 2,A'))).toBeLessThan(100)
    expect(score(told, counting('LD A,(HL)\n ADD A,1\n DAA\n LD (HL),A'))).toBe(100)
  })
  test('memory that the task does not name is the program’s own affair', () => {
    for (const more of ['', ' Your variables take 4600h to 460Fh.']) {
      const silent = draft(`Count the keys and show the count on the last digit.${more}`, counting('INC (HL)'))
      expect(chosen(silent)).toHaveProperty('after-key')
      expect(chosen(silent)).not.toHaveProperty('held-after-key')
    }
  })
})

test('a display that no key changes is asked for without them', () => {
  const same = draft('Show 0 on the last digit.', counting('NOP'))
  expect(same.problems).toEqual([])
  expect(chosen(same)).not.toHaveProperty('after-key')
})
