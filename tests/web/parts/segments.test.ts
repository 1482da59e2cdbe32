import { describe, expect, test } from 'vitest'
import { segmentsOf } from '../../../core/board/index.ts'
import { figureSegments, segmentWords } from '../../../web/parts/segments.ts'

describe('a digit in words', () => {
  test('names its lit segments in order', () => {
    expect(segmentWords(0x07)).toBe('segments a b c')
    expect(segmentWords(0x40)).toBe('segment g')
    expect(segmentWords(0x87)).toBe('segments a b c and point')
    expect(segmentWords(0x80)).toBe('point')
    expect(segmentWords(0)).toBe('no segment')
  })
})

describe('a figure on digits', () => {
  test('stands at the right', () => expect(figureSegments('74', 3)).toEqual([0, 0x07, 0x66]))
  test('lights the point of the digit before it', () => expect(figureSegments('7.5', 3)).toEqual([0, 0x87, 0x6d]))
  test('fills its width', () => expect(figureSegments('100', 3)).toEqual([0x06, 0x3f, 0x3f]))
})

test('our figures are drawn as the board draws them', () => {
  for (const figure of '0123456789') expect(figureSegments(figure, 1)).toEqual([segmentsOf(figure)])
})
