import { expect, test } from 'vitest'
import { lineDifference } from '../../../web/pages/submission/line-difference.ts'

const told = (before: string, after: string) =>
  lineDifference(before, after).map(({ kind, text }) => `${{ same: ' ', gone: '-', new: '+' }[kind]}${text}`)
const rebuilt = (before: string, after: string, without: 'gone' | 'new') =>
  lineDifference(before, after)
    .filter(({ kind }) => kind !== without)
    .map(({ text }) => text)
    .join('\n')

test('a line put right is one taken out and one put in, what stands round it stays', () => {
  expect(told('LD B,8\nDJNZ $\nRET', 'LD B,7\nDJNZ $\nRET')).toEqual(['-LD B,8', '+LD B,7', ' DJNZ $', ' RET'])
})

test('a line put in moves nothing else', () => {
  expect(told('PUSH BC\nRET', 'PUSH BC\nPOP BC\nRET')).toEqual([' PUSH BC', '+POP BC', ' RET'])
})

test('blanks at the ends of lines and a last line break are no difference', () => {
  expect(told('RET  \r\n', 'RET')).toEqual([' RET'])
})

test('without what was put in it is the text before, without what was taken out the text after', () => {
  const pool = ['A', 'B', 'C', 'D']
  let seed = 7
  const next = (most: number) => (seed = (seed * 75 + 74) % 65_537) % most
  const text = () => Array.from({ length: 1 + next(9) }, () => pool[next(4)]).join('\n')
  for (let at = 0; at < 300; at += 1) {
    const [before, after] = [text(), text()]
    expect(rebuilt(before, after, 'new')).toBe(before)
    expect(rebuilt(before, after, 'gone')).toBe(after)
  }
})

test('texts with very many changed lines are told as all gone and all new', () => {
  const many = (word: string) => Array.from({ length: 2100 }, (_, at) => `${word} ${at}`).join('\n')
  const lines = lineDifference(many('a'), many('b'))
  expect(lines.filter(({ kind }) => kind === 'gone')).toHaveLength(2100)
  expect(lines.filter(({ kind }) => kind === 'new')).toHaveLength(2100)
})
