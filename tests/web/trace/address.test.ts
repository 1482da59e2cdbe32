import { describe, expect, test } from 'vitest'
import { readLocator, writeLocator } from '../../../web/trace/model/address.ts'

describe('the address of a step', () => {
  test('reads back what was written, other parameters kept', () => {
    const search = writeLocator('?from=review', { caseId: 'carry set', step: 1423 })
    expect(search).toBe('?from=review&case=carry+set&step=1423')
    expect(readLocator(search)).toEqual({ caseId: 'carry set', step: 1423 })
  })

  test('is empty where nothing is chosen', () => {
    expect(writeLocator('?case=a&step=1', { caseId: null, step: null })).toBe('')
    expect(readLocator('')).toEqual({ caseId: null, step: null })
  })

  test.each(['-1', '1.5', '1e3', 'x', '', '9999999999999'])('a step of "%s" reads as none', (step) => {
    expect(readLocator(`?step=${step}`).step).toBeNull()
  })
})
