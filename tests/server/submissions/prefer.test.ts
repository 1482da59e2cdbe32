import { describe, expect, test } from 'vitest'
import { waitPreferred } from '../../../server/submissions/prefer.ts'

// RFC 7240: header grammar §2, wait §4.3.
describe('the wait preference', () => {
  test.each([
    ['wait=10', 10],
    ['respond-async, wait=10', 10],
    ['WAIT = 7', 7],
    ['wait="5"', 5],
    ['wait=3; foo=bar', 3],
    ['wait=0', 0],
    ['wait=3, wait=9', 3],
    ['wait=4000', 30],
  ])('%s asks for %i s', (header, seconds) => {
    expect(waitPreferred(header)).toBe(seconds)
  })

  test.each(['respond-async', 'wait', 'wait=', 'wait=-1', 'wait=soon', 'await=3', ''])('%j asks for none', (header) => {
    expect(waitPreferred(header)).toBeNull()
  })

  test('several header lines count as one list', () => {
    expect(waitPreferred(['respond-async', 'wait=2'])).toBe(2)
  })

  test('no header, no wait', () => {
    expect(waitPreferred(undefined)).toBeNull()
  })
})
