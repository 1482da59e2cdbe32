import { describe, expect, test } from 'vitest'
import { stackWords } from '../../../web/trace/model/stack.ts'

/** Memory that reads FF where nothing is, as from 8000h on; CALL 0040h stands at 4003h, RST 10h at 4010h. */
function memory(stack: string, at: number) {
  const bytes = new Uint8Array(65_536).fill(0xff, 0x8000)
  bytes.set([0xcd, 0x40, 0x00], 0x4003)
  bytes[0x4010] = 0xd7
  bytes.set(
    stack.split(' ').map((byte) => Number.parseInt(byte, 16)),
    at,
  )
  return bytes
}
const nameAt = (address: number) => (address >= 0x8000 ? 'nowhere' : `place ${address.toString(16)}`)
const notes = (stack: string, sp: number, top = 0x4800) =>
  stackWords(memory(stack, sp), sp, top, nameAt, 24).map(({ note }) => note)

describe('words on the stack', () => {
  test('a word behind a CALL or an RST is taken for its return address', () => {
    expect(notes('06 40 11 40', 0x47fc)).toEqual(['as if called in place 4003', 'as if called in place 4010'])
  })

  test('a word behind anything else is data', () => {
    expect(notes('34 12', 0x47fe)).toEqual([null])
  })

  test('where no memory is, FF is no RST', () => {
    expect(notes('00 FF', 0x47fe)).toEqual([null])
  })

  test('nothing stands below the place where SP began', () => {
    expect(notes('00', 0x4800)).toEqual([])
  })

  test('a stack pointer that left its place shows only what is nearest', () => {
    expect(notes('00 00', 0x4900)).toHaveLength(24)
  })
})
