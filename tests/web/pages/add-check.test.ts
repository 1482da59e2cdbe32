import { describe, expect, test } from 'vitest'
import { parse } from 'yaml'
import { parseExercise } from '../../../core/exercise/index.ts'
import { addCheck } from '../../../web/pages/exercise-editor/add-check.ts'
import { starter } from '../../../web/pages/exercise-editor/starter.ts'

describe('a check added to a document', () => {
  test('stands at the end, filled in, and the document still reads well', () => {
    const text = addCheck(
      starter,
      { kind: 'registers', want: { a: 'model' }, cases: ['plain'] },
      'A ends with another value.',
    )
    const read = parseExercise(parse(text ?? ''))
    expect(read.isOk && read.exercise.checks.map(({ id, title, group }) => [id, title, group])).toEqual([
      ['byte', '37h stands at 4600h', 'function'],
      ['size', 'At most 12 bytes', 'care'],
      ['registers', 'A ends with another value', 'function'],
    ])
  })

  test('keeps what it says itself, and the comments of the document', () => {
    const text = addCheck(
      `# ours\n${starter}`,
      { kind: 'size', id: 'tight', title: 'Tight', group: 'care', max: 9 },
      'x',
    )
    expect(text).toMatch(/^# ours\n/)
    expect((parse(text ?? '') as { checks: unknown[] }).checks.at(-1)).toEqual({
      kind: 'size',
      id: 'tight',
      title: 'Tight',
      group: 'care',
      max: 9,
    })
  })

  test('gets an id that is free', () => {
    const once = addCheck(starter, { kind: 'size', max: 9 }, 'one')
    const twice = addCheck(once ?? '', { kind: 'size', max: 8 }, 'two')
    expect((parse(twice ?? '') as { checks: { id: string }[] }).checks.map(({ id }) => id)).toEqual([
      'byte',
      'size',
      'size-2',
      'size-3',
    ])
  })

  test('is not added to a text that is no document', () => {
    expect(addCheck('checks: [', { kind: 'size' }, 'x')).toBeNull()
    expect(addCheck('just words', { kind: 'size' }, 'x')).toBeNull()
    expect(addCheck('checks: none', { kind: 'size' }, 'x')).toBeNull()
  })
})
