import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { exerciseFor, studentView, withOwnNames } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { exerciseOf, textOf } from './tram-depot.ts'

const swap = exerciseOf('A5')
const model = { format: 'assembly', text: textOf('A5', 'model.asm') } as const
const valuesFor = (seed: number) => exerciseFor(swap, seed).constants.map(({ of }) => of?.[0])

describe('an answer with a student’s own values', () => {
  test('is right for them, and a neighbour’s gets no mark for what it does', () => {
    const [one, other] = [1, 2]
    expect(valuesFor(one)).not.toEqual(valuesFor(other))
    const own = withOwnNames(model, swap, one)
    expect(grade(own, swap, benchEight, { seed: one }).isFullMarks).toBe(true)
    const copied = grade(own, swap, benchEight, { seed: other })
    expect(copied.groups.find(({ id }) => id === 'function')?.marks).toBe(0)
  })
  test('holds the values that the student reads in the task, and every line stays where it was', () => {
    const { text } = withOwnNames(model, swap, 7)
    const { brief } = studentView(swap, benchEight, 7)
    const lines = text.slice(model.text.length).trimEnd().split('\n')
    expect(lines.length).toBe(2)
    for (const line of lines) expect(brief).toContain(line.split(' EQU ')[1])
    expect(text.startsWith(model.text)).toBe(true)
  })
  test('bytes, and an exercise without constants, stay as they are', () => {
    const bytes = { format: 'hex', text: '4000: 76' } as const
    expect(withOwnNames(bytes, swap, 1)).toBe(bytes)
    expect(withOwnNames(model, exerciseOf('A4'), 1)).toBe(model)
  })
})
