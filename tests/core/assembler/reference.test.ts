import { describe, expect, test } from 'vitest'
import { assemblerReference } from '../../../core/assembler/index.ts'
import { numberForms } from '../../../core/assembler/number-forms.ts'
import { bytes, problems, run } from './notation.ts'

const page = assemblerReference()

describe('the page about the language', () => {
  const examples = [...page.matchAll(/^```\n([^]*?)^```$/gm)].map(([, text = '']) => text)
  test.each(examples.slice(1))('its example is assembled without a word: %j', (text) => {
    expect(problems(run(text))).toEqual([])
  })

  // 5Ah = 90; the second hexadecimal example is FFh.
  test.each(numberForms.flatMap(({ examples: some }) => some))('%s is the number it says', (text) => {
    expect(bytes(run(` DB ${text}`))).toBe(text === '0FFH' ? 'FF' : '5A')
  })

  test('names each way of reading it that it warns of', () => {
    for (const warned of ['LD A,0B1', 'LD A,6D', 'BUF EQU 0| LD A,HIGH BUF+1'])
      expect(run(warned).problems.map(({ severity }) => severity)).toEqual(['warning'])
    for (const text of ['0B1', '6D', 'HIGH BUF+1']) expect(page).toContain(text)
  })
})
