import { expect, test } from 'vitest'
import { withMore } from '../../../core/exercise/index.ts'
import { exerciseOf } from './tram-depot.ts'

const exercise = exerciseOf('A4')
const [group] = exercise.groups
const plainCase = { id: 'one-more', given: { memory: [{ at: '4600h', bytes: '01 02' }] } }
const plainCheck = { id: 'ends', kind: 'run-end', title: 'Ends', group: group?.id, cases: ['one-more'] }

test('a case and a check stand behind those of the exercise, which stays as it is', () => {
  const { exercise: more } = withMore(exercise, 0, { plainCase, plainCheck })
  expect(more?.cases.map(({ id }) => id)).toEqual([...exercise.cases.map(({ id }) => id), 'one-more'])
  expect(more?.checks.at(-1)).toMatchObject({ id: 'ends', kind: 'run-end' })
  expect(exercise.cases.some(({ id }) => id === 'one-more')).toBe(false)
})

test('what cannot be read is told, and so is what does not fit the exercise', () => {
  const problems = (plain: Partial<Parameters<typeof withMore>[2]>): readonly string[] =>
    withMore(exercise, 0, { plainCase: null, plainCheck: null, ...plain }).problems.map(({ code }) => code)
  expect(problems({ plainCase: { ...plainCase, given: { keys: 'many' } } })).not.toEqual([])
  expect(problems({ plainCheck: { ...plainCheck, cases: ['nowhere'] } })).toContain('dangling')
  expect(problems({ plainCase: { ...plainCase, id: exercise.cases[0]?.id } })).toContain('duplicate')
  expect(problems({ plainCase })).toEqual([])
})
