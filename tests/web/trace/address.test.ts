import { describe, expect, test } from 'vitest'
import { readLocator, writeLocator } from '../../../web/trace/model/address.ts'

describe('the address of a step', () => {
  test('reads back what was written, other parameters kept', () => {
    const place = { caseId: 'carry set', step: 1423, window: { from: 0, to: 2500 }, marked: { from: 100, to: 101 } }
    const search = writeLocator('?from=review', place)
    expect(search).toBe('?from=review&case=carry+set&step=1423&window=0-2500&marked=100-101')
    expect(readLocator(search)).toEqual(place)
  })

  test('is empty where nothing is chosen', () => {
    const nowhere = { caseId: null, step: null, window: null, marked: null }
    expect(writeLocator('?case=a&step=1&window=1-2&marked=1-2', nowhere)).toBe('')
    expect(readLocator('')).toEqual(nowhere)
  })

  test('keeps the start of the run that decided, also one below 0, where every byte holds the same', () => {
    const place = { caseId: 'a', step: 7, start: -255, window: null, marked: null }
    const search = writeLocator('', place)
    expect(search).toBe('?case=a&step=7&start=-255')
    expect(readLocator(search)).toEqual(place)
  })

  test.each(['-1', '1.5', '1e3', 'x', '', '9999999999999'])('a step of "%s" reads as none', (step) => {
    expect(readLocator(`?step=${step}`).step).toBeNull()
  })

  test.each(['5', '5-5', '9-5', '-5', '5-', 'a-b', '1.5-2'])('a stretch of "%s" reads as none', (span) => {
    expect(readLocator(`?window=${span}`).window).toBeNull()
  })
})
