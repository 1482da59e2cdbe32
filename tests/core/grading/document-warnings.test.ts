import { describe, expect, test } from 'vitest'
import { parse } from 'yaml'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, type Exercise } from '../../../core/exercise/index.ts'
import { documentWarnings } from '../../../core/grading/index.ts'
import { exerciseOf } from '../exercise/tram-depot.ts'

function exerciseWith(given: string, checks: readonly string[]): Exercise {
  const text = `
format: hexcairn-exercise/1
id: small
title: Small
board: bench-8
brief: Small.
cases: [{ id: one, title: One, given: { memory: [${given}] } }]
groups: [{ id: all, title: All, marks: 100 }]
checks:
${checks.map((check, i) => `  - { id: c${i}, title: Check ${i}, group: all, ${check} }`).join('\n')}
model: { format: assembly, text: " LD A,12\\n LD (4602h),A\\n HALT\\n" }`
  const parsed = parseExercise(parse(text))
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join('\n'))
  return parsed.exercise
}

const messages = (exercise: Exercise): readonly string[] =>
  documentWarnings(exercise, benchEight).map(({ message }) => message)

describe('a check that doing nothing passes is warned of', () => {
  test('with its place, its marks, and what stands there already', () => {
    const want = 'kind: memory, want: [{ at: 4602h, bytes: 0C }]'
    const [warning, ...others] = documentWarnings(exerciseWith('{ at: 4602h, bytes: 0C }', [want]), benchEight)
    expect(others).toEqual([])
    expect(warning).toMatchObject({ path: ['checks', 0], code: 'right-before' })
    expect(warning?.message).toBe(
      'checks[0]: a program that does nothing gets 100 of 100 marks for “Check 0”. On the case “One” 4602h = 0Ch stands there before the program runs. Let it want what only work makes right, or rest on a check of what was done.',
    )
  })
  test('also where the wanted value is the model answer’s', () => {
    const want = 'kind: memory, want: [{ at: 4602h, bytes: model, length: 1 }]'
    expect(messages(exerciseWith('{ at: 4602h, bytes: 0C }', [want]))).toHaveLength(1)
  })
  test('and where nothing in particular stands: an end is no work', () => {
    const [message = ''] = messages(exerciseWith("{ at: 4602h, bytes: '00' }", ['kind: run-end']))
    expect(message).toMatch(/^checks\[0\]: a program that does nothing gets 100 of 100 marks for “Check 0”\. Let it/)
  })
})

test('nothing is said of checks that only work makes right, nor of those that rest on one', () => {
  const want = 'kind: memory, want: [{ at: 4602h, bytes: 0C }]'
  expect(messages(exerciseWith("{ at: 4602h, bytes: '00' }", [want]))).toEqual([])
  expect(messages(exerciseWith("{ at: 4602h, bytes: '00' }", [want, 'kind: run-end, restsOn: [c0]']))).toEqual([])
  expect(messages(exerciseOf('A4'))).toEqual([])
})
