import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { instructionSet } from '../../../core/cpu/index.ts'
import { disassemble, toText, type DisassembleOptions } from '../../../core/disassembler/index.ts'
import { imageFromBinary, makeImage, type Image } from '../../../core/image/index.ts'

function image(hex: string, start = 0x4000): Image {
  return imageFromBinary(Buffer.from(hex.replaceAll(' ', ''), 'hex'), start)
}

function text(given: Image, options: Partial<DisassembleOptions> = {}): string {
  return toText(disassemble(given, { entry: 0x4000, ...options }))
}

/** Without the layout: one blank between words. */
function lines(given: Image, options: Partial<DisassembleOptions> = {}): string[] {
  return text(given, options)
    .trimEnd()
    .split('\n')
    .map((line) => line.trim().replace(/ +/g, ' '))
}

function reassembled(given: Image, options: DisassembleOptions) {
  const source = toText(disassemble(given, options))
  return assemble(source, { origin: 0, maxBytes: 0x10000 })
}

describe('following the flow', () => {
  test('a program with a loop, a call and data reads like one', () => {
    // START: LD HL,DATA; LD B,3; LOOP: LD A,(HL); CALL ROUTINE; INC HL; DJNZ LOOP; HALT; ROUTINE: OUT (20H),A; RET; DATA
    const hex = '21 13 40 06 03 7E CD 0F 40 23 10 F9 76 00 00 D3 20 C9 FF 01 02 03'
    expect(lines(image(hex))).toEqual([
      'ORG 4000H',
      'START: LD HL,DATA',
      'LD B,03H',
      'LOOP: LD A,(HL)',
      'CALL ROUTINE',
      'INC HL',
      'DJNZ LOOP',
      'HALT',
      'DB 00H,00H',
      'ROUTINE: OUT (20H),A',
      'RET',
      'DB 0FFH',
      'DATA: DB 01H,02H,03H',
    ])
  })

  test.each([
    ['18 01 FF 76', ['START: JR SKIP', 'DB 0FFH', 'SKIP: HALT']],
    ['C3 04 40 FF 76', ['START: JP SKIP', 'DB 0FFH', 'SKIP: HALT']],
    ['28 01 C9 76', ['START: JR Z,SKIP', 'RET', 'SKIP: HALT']],
    ['C8 C9 00', ['START: RET Z', 'RET', 'DB 00H']],
    ['E9 00', ['START: JP (HL)', 'DB 00H']],
    ['76 3C', ['START: HALT', 'DB 3CH']],
    ['FB 76 3C C9', ['START: EI', 'HALT', 'INC A', 'RET']],
    ['ED 4D 00', ['START: RETI', 'DB 00H']],
    ['CF 76', ['START: RST 08H', 'HALT']],
    ['18 FE', ['START: JR START']],
    ['C3 01 40 04', ['START: JP 4001H', 'DB 04H']],
    ['3E', ['DB 3EH']],
  ])('%s', (hex, wanted) => {
    expect(lines(image(hex)).slice(1)).toEqual(wanted)
  })

  test('the far ends of memory stay apart', () => {
    const both = makeImage([
      { start: 0, bytes: [0x76] },
      { start: 0xfffe, bytes: [0x3e, 0x05] },
    ])
    expect(lines(both, { entry: 0xfffe })).toEqual([
      'ORG 0000H',
      'DB 76H',
      'ORG 0FFFEH',
      'START: LD A,05H',
      'END START',
    ])
    expect(lines(image('3E', 0xffff), { entry: 0xffff })).toEqual(['ORG 0FFFFH', 'DB 3EH'])
  })

  test('further entries are followed too, and the entry is kept when it is not the first byte', () => {
    expect(lines(image('00 00 76 3C C9'), { entry: 0x4002, entries: [0x4003] })).toEqual([
      ...['ORG 4000H', 'DB 00H,00H', 'START: HALT', 'INC A', 'RET', 'END START'],
    ])
  })

  test('long runs of one byte are one line', () => {
    expect(lines(image(`76 01 ${'00'.repeat(40)} 02`)).slice(2)).toEqual(['DB 01H', 'DS 40,00H', 'DB 02H'])
  })
})

describe('names', () => {
  test('firmware names are used and defined, but not for plain numbers', () => {
    const options = { names: { PAINT: 0x0040, GETKEY: 0x0048 } }
    expect(lines(image('CD 40 00 01 48 00 76'), options)).toEqual([
      ...['PAINT EQU 0040H', 'ORG 4000H', 'START: CALL PAINT', 'LD BC,0048H', 'HALT'],
    ])
  })

  test("a student's own labels and comments are kept", () => {
    const hex = '06 03 10 FE 76'
    const options = { labels: { wait: 0x4002, Ready: 0x4004 }, comments: new Map([[0x4002, 'three rounds']]) }
    expect(lines(image(hex), options).slice(1)).toEqual([
      ...['START: LD B,03H', 'wait: DJNZ wait ; three rounds', 'Ready: HALT'],
    ])
  })

  test('an invented name is never one that is there already', () => {
    const hex = 'CD 04 40 76 C9'
    expect(lines(image(hex), { names: { routine: 0x40, Start: 0x41 } }).slice(1)).toEqual([
      ...['START1: CALL ROUTINE1', 'HALT', 'ROUTINE1: RET'],
    ])
  })

  test('several of a kind are numbered in the order of addresses', () => {
    expect(lines(image('20 FE 28 FE C9')).slice(1)).toEqual(['START: JR NZ,START', 'LOOP: JR Z,LOOP', 'RET'])
    expect(lines(image('00 20 FE 28 FE C9')).slice(1)).toEqual([
      ...['START: NOP', 'LOOP1: JR NZ,LOOP1', 'LOOP2: JR Z,LOOP2', 'RET'],
    ])
  })

  test('a comment cannot smuggle in a line', () => {
    const comments = new Map([[0x4000, 'one\n LD A,5\r\n']])
    expect(reassembled(image('76'), { entry: 0x4000, comments }).image).toEqual(image('76'))
  })
})

describe('encodings that assemblers do not use', () => {
  test.each([
    ['ED 63 00 46 76', 'START: DB 0EDH,63H,00H,46H ; LD (4600H),HL, in an encoding that assemblers do not use'],
    ['DD 41 76', 'START: DB 0DDH,41H ; LD B,C, in an encoding that assemblers do not use'],
    ['ED 00 76', 'START: DB 0EDH,00H ; NOP, in an encoding that assemblers do not use'],
  ])('%s is data with a comment, and the flow goes on behind it', (hex, wanted) => {
    expect(lines(image(hex)).slice(1)).toEqual([wanted, 'HALT'])
  })
})

describe('law: assembling a disassembly gives the image again', () => {
  test('for each of the instructions there are, whatever its operand bytes', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...instructionSet),
        fc.uint8Array({ minLength: 4, maxLength: 4 }),
        (instruction, free) => {
          const bytes = instruction.encoding.map((byte, i) => (typeof byte === 'number' ? byte : (free[i] ?? 0)))
          const given = imageFromBinary([...bytes, 0x76], 0x4000)
          const program = reassembled(given, { entry: 0x4000 })
          expect(program.problems).toEqual([])
          expect(program.image).toEqual(given)
        },
      ),
      { numRuns: 5000 },
    )
  })

  // Names as students give them: twice in other capitals, like a name of the firmware, with a dot, very long.
  const anyName = fc.constantFrom('PAINT', 'paint', 'LOOP', 'START', 'Data', 'ONE.x', 'L1', 'N'.repeat(600))
  const anyNames = fc
    .array(fc.tuple(anyName, fc.integer({ min: 0x3ff0, max: 0x4040 })), { maxLength: 8 })
    .map((pairs) => Object.fromEntries(pairs))

  test('whatever names and comments stand beside it', () => {
    const anyComments = fc
      .array(fc.tuple(fc.integer({ min: 0x4000, max: 0x4040 }), fc.string({ maxLength: 1200, size: 'max' })))
      .map((pairs) => new Map(pairs))
    fc.assert(
      fc.property(
        fc.uint8Array({ minLength: 1, maxLength: 64 }),
        anyNames,
        anyNames,
        anyComments,
        (bytes, labels, names, comments) => {
          const given = imageFromBinary(bytes, 0x4000)
          const program = reassembled(given, { entry: 0x4000, labels, names, comments })
          expect(program.problems).toEqual([])
          expect(program.image).toEqual(given)
        },
      ),
      { numRuns: 400 },
    )
  })

  // The longest texts that 64 KiB give: an instruction a byte, an unusual encoding with its comment every two, an ORG for
  // every byte, and no instruction at all.
  test.each([
    ['NOPs', imageFromBinary(new Uint8Array(0x10000), 0), 0],
    ['zeros that nothing leads to', imageFromBinary(new Uint8Array(0x10000).fill(0, 1).fill(0xc9, 0, 1), 0), 0],
    ['unusual encodings', imageFromBinary(Buffer.from('dd41'.repeat(0x8000), 'hex'), 0), 0],
    ['jumps to each other', imageFromBinary(Buffer.from('20fc'.repeat(0x8000), 'hex'), 0), 0],
    ['every second byte', makeImage(Array.from({ length: 0x8000 }, (_, i) => ({ start: 2 * i, bytes: [0x76] }))), 2],
  ])('for 64 KiB of %s', (_, given, entry) => {
    const program = reassembled(given, { entry })
    expect(program.problems).toEqual([])
    expect(program.entry).toBe(entry)
    expect(program.image.segments.length).toBe(given.segments.length)
    for (const [i, { start, bytes }] of given.segments.entries()) {
      expect(program.image.segments[i]?.start).toBe(start)
      if (!Buffer.from(program.image.segments[i]?.bytes ?? []).equals(Buffer.from(bytes))) expect.fail('other bytes')
    }
  })

  const anyImage = fc
    .array(
      fc.record({
        start: fc.integer({ min: 0, max: 0xffff }),
        bytes: fc.uint8Array({ minLength: 1, maxLength: 300 }),
      }),
      { minLength: 1, maxLength: 4 },
    )
    .map((pieces) =>
      makeImage(pieces.map(({ start, bytes }) => ({ start, bytes: bytes.subarray(0, 0x10000 - start) }))),
    )

  test('for images of random bytes and any entry', () => {
    fc.assert(
      fc.property(anyImage, fc.nat(), (given, seed) => {
        const segment = given.segments[seed % given.segments.length]
        const entry = ((segment?.start ?? 0) + (seed % (segment?.bytes.length ?? 1))) & 0xffff
        const program = reassembled(given, { entry, names: { PAINT: 0x40, BUZZ: 0x4001 } })
        expect(program.problems).toEqual([])
        expect(program.image).toEqual(given)
        expect(program.entry).toBe(entry)
      }),
      { numRuns: 500 },
    )
  })

  test('for all 64 KiB filled at random', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ minLength: 0x10000, maxLength: 0x10000 }),
        fc.integer({ min: 0, max: 0xffff }),
        (bytes, entry) => {
          const given = imageFromBinary(bytes, 0)
          const program = reassembled(given, { entry })
          expect(program.problems).toEqual([])
          expect(Buffer.from(program.image.segments[0]?.bytes ?? []).equals(Buffer.from(bytes))).toBe(true)
        },
      ),
      { numRuns: 3 },
    )
  })
})
