import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { glyphOf, segmentsOf } from '../../../core/board/index.ts'

// Outside check: tests/fixtures/reference/seven-segment.csv (common practice, no standard; see the README there).
const rows = readFileSync(join(import.meta.dirname, '../../fixtures/reference/seven-segment.csv'), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => line.split(','))

describe('signs on seven segments', () => {
  test.each(rows)('%s is drawn as the reference has it', (digit = '', _value, _segments, _bits, hex = '') => {
    expect(glyphOf(Number.parseInt(hex, 16))).toBe(digit.toUpperCase())
    expect(segmentsOf(digit)).toBe(Number.parseInt(hex, 16))
  })

  test('the point does not change the sign, and is one by itself', () => {
    expect(glyphOf(0x3f | 0x80)).toBe('0')
    expect(glyphOf(0x80)).toBe('.')
  })

  test('nothing lit is a space, an unknown pattern a question mark', () => {
    expect(glyphOf(0)).toBe(' ')
    expect(glyphOf(0x49)).toBe('?')
    expect(segmentsOf('%')).toBeNull()
  })

  test('the other drawings of 1, 7 and 9 are read too', () => {
    expect([0x30, 0x27, 0x67].map(glyphOf)).toEqual(['1', '7', '9'])
  })

  test('every sign that can be drawn is read back, S and I as 5 and 1', () => {
    for (const glyph of '0123456789ABCDEFGHJLNOPRTUY-=_ .') expect(glyphOf(segmentsOf(glyph) ?? -1)).toBe(glyph)
    expect(glyphOf(segmentsOf('s') ?? -1)).toBe('5')
    expect(glyphOf(segmentsOf('I') ?? -1)).toBe('1')
  })
})
