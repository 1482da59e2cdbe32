import { describe, expect, test } from 'vitest'
import { readGivenLines } from '../../../web/pages/exercise-editor/given-lines.ts'

describe('bytes given in lines', () => {
  test('a stretch a line, however it is spaced', () => {
    expect(readGivenLines('4600h: 32 33 FF\n\n  46f0 : 0a,0b ')).toEqual({
      memory: [
        { at: '4600h', bytes: '32 33 FF' },
        { at: '46F0h', bytes: '0A 0B' },
      ],
      error: null,
    })
  })
  test('nothing is nothing', () => {
    expect(readGivenLines(' \n')).toEqual({ memory: [], error: null })
  })
  test.each(['4600h', '4600h 32', '4600h: 3', '4600h: 3G', '14600h: 00', ': 00'])(
    '%s is told with its line',
    (line) => {
      const { memory, error } = readGivenLines(`4600h: 00\n${line}`)
      expect(memory).toEqual([])
      expect(error).toContain('Line 2')
      expect(error).toContain(line)
    },
  )
})
