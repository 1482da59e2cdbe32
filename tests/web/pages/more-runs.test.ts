import { expect, test } from 'vitest'
import { addRuns } from '../../../web/pages/exercise-editor/more-runs.ts'

const text = (times: string): string => `cases:\n  - id: run\n  - id: drawn # mine\n${times}checks: []\n`

test('a case with one run gets eight, then twice as many, sixty-four at most', () => {
  expect(addRuns(text(''), 'drawn')?.times).toBe(8)
  expect(addRuns(text('    times: 6\n'), 'drawn')?.times).toBe(12)
  expect(addRuns(text('    times: 40\n'), 'drawn')?.times).toBe(64)
  expect(addRuns(text('    times: 64\n'), 'drawn')).toBeNull()
})

test('comments and all else stay', () => {
  expect(addRuns(text('    times: 6\n'), 'drawn')?.text).toBe(text('    times: 12\n'))
})

test('no case of that name, no document: nothing', () => {
  expect(addRuns(text(''), 'other')).toBeNull()
  expect(addRuns('cases: [', 'drawn')).toBeNull()
  expect(addRuns('title: x', 'drawn')).toBeNull()
})
