import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../../core/assembler/index.ts'
import { causeIds, conceptCards, detectors } from '../../../../core/diagnosis/index.ts'

const words = (text: string): number => text.split(/\s+/).filter((word) => /[A-Za-z0-9]/.test(word)).length

describe('every cause', () => {
  test('has one detector, and there are no others', () => {
    expect(detectors.map(({ id }) => id).sort()).toEqual([...causeIds].sort())
  })
  test('has a card, and there are no others', () => {
    expect(Object.keys(conceptCards).sort()).toEqual([...causeIds].sort())
  })
  test.each(causeIds)('%s: its card has a title, a worked example and at most 120 words', (id) => {
    const { title, text, example } = conceptCards[id]
    expect(title).toMatch(/\S/)
    expect(example.length).toBeGreaterThan(25)
    expect(words(`${title} ${text} ${example}`)).toBeLessThanOrEqual(120)
    expect(words(text)).toBeGreaterThan(20)
  })
  test.each(detectors.map(({ id, title, looksAt }) => ({ id, title, looksAt })))(
    '$id says what it looks at',
    (detector) => {
      expect(detector.title).toMatch(/^[A-Z][^.]*$/)
      expect(detector.looksAt.length).toBeGreaterThan(15)
    },
  )
})

/** Examples of a few cards as programs, so that what they say is so. */
describe('what the cards say', () => {
  const bytesOf = (text: string): string => {
    const { image } = readProgram({ format: 'assembly', text }, { origin: 0x4000 })
    return image.segments
      .map(({ bytes }) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join(' '))
      .join()
  }
  test.each([
    ['low byte first', ' LD (4600h),A', '32 00 46'],
    ['XOR A has one byte, LD A,0 two', ' XOR A\n LD A,0', 'af 3e 00'],
    ['LD H,D / LD L,D has two bytes, LD HL,0 three', ' LD H,D\n LD L,D\n LD HL,0', '62 6a 21 00 00'],
    ['RET is C9 and HALT 76', ' RET\n HALT', 'c9 76'],
    ['06 03 is LD B,03h and 0B 03 DEC BC, INC BC', ' LD B,3\n DEC BC\n INC BC', '06 03 0b 03'],
  ])('%s', (_, text, bytes) => expect(bytesOf(text)).toBe(bytes))
})
