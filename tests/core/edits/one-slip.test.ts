import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { addressesOf, insertions, removals, replacements, swaps } from '../../../core/edits/byte-edits.ts'
import { editedImage } from '../../../core/edits/edit.ts'
import { isOneSlipFrom } from '../../../core/edits/one-slip.ts'
import { sourceEdits } from '../../../core/edits/source-edits.ts'
import { isSameImage, type Image } from '../../../core/image/index.ts'
import { Random } from '../../../core/run/index.ts'

const text = ` ORG 4000h
START: LD HL,TABLE
 LD B,5
NEXT: LD A,(HL)
 CP 5
 JR Z,FOUND
 INC HL
 DJNZ NEXT
 CALL SHOW
 JP START
FOUND: LD (4600h),A
 HALT
SHOW: XOR A
 RET
TABLE: DB 1,2,5,8
`
const right = assemble(text, { origin: 0x4000 })
const imageOf = (changed: string): Image => {
  const made = assemble(changed, { origin: 0x4000 })
  if (!made.isOk) throw new Error(made.problems.map(({ message }) => message).join(' '))
  return made.image
}
/** Several texts replaced, one after another. */
const changed = (...pairs: readonly (readonly [string, string])[]): Image =>
  imageOf(
    pairs.reduce((all, [from, to]) => {
      if (!all.includes(from)) throw new Error(`${from} is not in the text`)
      return all.replace(from, to)
    }, text),
  )

describe('one slip', () => {
  const one: readonly (readonly [string, Image])[] = [
    ['a value', changed(['LD B,5', 'LD B,6'])],
    ['an instruction left out, its label kept', changed([' CP 5\n', ''])],
    ['an instruction left out between others, jumps leading along', changed([' CALL SHOW\n', ''])],
    ['an instruction too many', changed([' CALL SHOW', ' PUSH BC\n CALL SHOW'])],
    ['one of another length', changed(['INC HL', 'LD HL,(4600h)'])],
    ['two the wrong way round', changed([' CALL SHOW\n JP START', ' JP START\n CALL SHOW'])],
    [
      'two the wrong way round, the second one with a label',
      changed(['LD B,5\nNEXT: LD A,(HL)', 'LD A,(HL)\nNEXT: LD B,5']),
    ],
    ['a byte of data', changed(['1,2,5,8', '1,2,6,8'])],
    ['a byte of data left out', changed(['1,2,5,8', '1,2,5'])],
    ['a jump elsewhere', changed(['DJNZ NEXT', 'DJNZ START'])],
  ]
  test.each(one)('%s', (_, image) => expect(isOneSlipFrom(image, right)).toBe(true))

  test('any edit of one byte, whatever it does to the instructions behind', () => {
    const random = new Random(20_261_130)
    const all = [
      ...replacements(right.image, addressesOf(right.image)),
      ...removals(right.image),
      ...insertions(right.image),
      ...swaps(right.image),
    ]
    for (let i = 0; i < 400; i++) {
      const edit = all[random.under(all.length)]
      const image = edit === undefined ? null : editedImage(right.image, edit)
      if (image !== null && !isSameImage(image, right.image))
        expect([edit, isOneSlipFrom(image, right)]).toEqual([edit, true])
    }
  })
  test('any edit of one instruction of the text', () => {
    for (const { image, found, wouldBe } of sourceEdits(right, { origin: 0x4000 })) {
      if (!isSameImage(image, right.image))
        expect([found, wouldBe, isOneSlipFrom(image, right)]).toEqual([found, wouldBe, true])
    }
  })
})

describe('no slip, or more than one', () => {
  const others: readonly (readonly [string, Image])[] = [
    ['the program itself', right.image],
    ['two values', changed(['LD B,5', 'LD B,6'], ['CP 5', 'CP 6'])],
    ['an instruction left out and a value', changed([' CALL SHOW\n', ''], ['CP 5', 'CP 6'])],
    ['two instructions left out', changed([' CALL SHOW\n', ''], [' CP 5\n', ''])],
    ['a lone HALT', imageOf(' ORG 4000h\n HALT\n')],
    ['its first half', imageOf(text.slice(0, text.indexOf(' JR Z')).concat('TABLE: HALT\n'))],
  ]
  test.each(others)('%s', (_, image) => expect(isOneSlipFrom(image, right)).toBe(false))
})
