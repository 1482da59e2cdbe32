import { expect, test } from 'vitest'
import type { CheckResult, Report } from '../../../core/grading/index.ts'
import type { Cause } from '../../../server/contract/index.ts'
import { findingLines } from '../../../web/trace/model/finding-lines.ts'

const check = (id: string, outcome: CheckResult['outcome']): CheckResult => ({
  ...{ id, title: id, kind: 'registers', group: 'g', isVisible: true, tells: 'gap', outcome, measured: null },
  ...{ wanted: null, tolerance: null, message: `${id} is wrong`, share: null, counts: 1, marks: 0, outOf: 10 },
  decidedAt: { caseId: 'a', step: 7, t: 40, address: 0x4000, start: 0 },
})
const cause = (id: string, step: number | null): Cause =>
  ({ id, title: id, message: id, isVisible: id !== 'kept', card: null, caseId: 'a', step }) as unknown as Cause
const report = {
  checks: [check('right', 'passed'), check('one', 'failed'), check('two', 'failed')],
  firstWrong: { caseId: 'a', step: 9, checkId: 'two', start: 0 },
} as unknown as Report

test('what went wrong first stands first, its likeliest cause next, the rest after them', () => {
  const lines = findingLines(report, [cause('slip', 5), cause('kept', null)], {})
  expect(lines.map(({ title }) => title)).toEqual(['two', 'slip', 'one', 'kept'])
})

test('a line leads to a step only where there is one, and says what the student is not told', () => {
  const lines = findingLines(report, [cause('slip', 5), cause('kept', null)], {})
  expect(lines.map(({ at }) => at?.step ?? null)).toEqual([7, 5, 7, null])
  expect(lines.map(({ isTold }) => isTold)).toEqual([true, true, true, false])
})

test('without a report the causes still have their lines', () => {
  expect(findingLines(null, [cause('slip', 5)], {}).map(({ title }) => title)).toEqual(['slip'])
})
