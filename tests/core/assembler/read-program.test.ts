import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  detectFormat,
  listingNotes,
  readProgram,
  type Program,
  type ReadOptions,
} from '../../../core/assembler/index.ts'
import { disassemble, toText } from '../../../core/disassembler/index.ts'
import { makeImage, writeHexDump, writeIntelHex } from '../../../core/image/index.ts'

const options: ReadOptions = { origin: 0x4000, allowed: [{ from: 0x4000, to: 0x47ff }], symbols: { PAINT: 0x40 } }

function read(text: string, format: 'auto' | Program['format'] = 'auto'): Program {
  return readProgram({ format, text }, options)
}

// Three plus eight, the first exercise of the demo course: A is 0Bh at the end.
const assembly = `
START:  LD A,5      ; five
        LD B,3
LOOP:   ADD A,B     ; and three, twice
        DJNZ $-1
        HALT
`
const forms = {
  assembly,
  hex: '3E 05 06 03\n80 10 FD 76\n',
  addressed: '4000: 3E 05 06 03 80 10 FD 76  S=4F W=E1\n',
  intelHex: ':084000003E0506038010FD7669\n:00000001FF\n',
}

describe('the same program in each of its forms', () => {
  test('gives the same image and entry', () => {
    const programs = Object.values(forms).map((text) => read(text))
    for (const program of programs) {
      expect(program.problems).toEqual([])
      expect(program.image).toEqual(makeImage([{ start: 0x4000, bytes: [0x3e, 5, 6, 3, 0x80, 0x10, 0xfd, 0x76] }]))
      expect(program.entry).toBe(0x4000)
    }
    expect(programs.map(({ format }) => format)).toEqual(['assembly', 'hex', 'hex', 'intel-hex'])
  })

  test('whatever the bytes are', () => {
    const image = fc.uint8Array({ minLength: 1, maxLength: 200 }).map((bytes) => makeImage([{ start: 0x4100, bytes }]))
    fc.assert(
      fc.property(image, (given) => {
        const lowest = 0x4100
        const texts = [writeHexDump(given), writeIntelHex(given), toText(disassemble(given, { entry: lowest }))]
        const formats = ['hex', 'intel-hex', 'assembly'] as const
        for (const [i, text] of texts.entries()) {
          const program = read(text, formats[i])
          expect(program.problems).toEqual([])
          expect(program.image).toEqual(given)
          expect(program.entry).toBe(lowest)
        }
        expect(detectFormat(texts[0] ?? '')).toBe('hex')
        expect(detectFormat(texts[1] ?? '')).toBe('intel-hex')
        expect(detectFormat(texts[2] ?? '')).toBe('assembly')
      }),
    )
  })
})

describe('what form a text has', () => {
  test.each([
    [':00000001FF', 'intel-hex'],
    ['\uFEFF\n  :0A18', 'intel-hex'],
    ['; mine\n:0A1800003E5A0605D3013D20FBC946', 'intel-hex'],
    ['3E05', 'hex'],
    ['3E O5 06 03 80', 'hex'],
    ['3E 0 06 03', 'hex'],
    ['4000: 3E\n4001: 05', 'hex'],
    ['4000 3E 05 ; LD A,5', 'hex'],
    [' LD A,5', 'assembly'],
    ['DB 1,2,3', 'assembly'],
    [' DB 10H', 'assembly'],
    ['FACE: LD A,5', 'assembly'],
    ['ADD A,B\nDAA\nCCF\nRET', 'assembly'],
    ['', 'assembly'],
    ['; nothing but words', 'assembly'],
  ])('%j is %s', (text, format) => {
    expect(detectFormat(text)).toBe(format)
  })

  test('a chosen form is not doubted', () => {
    expect(read('3E 05', 'assembly').problems).toMatchObject([{ code: 'looks-like-dump' }])
    expect(read(' LD A,5', 'hex').problems[0]).toMatchObject({ code: 'bad-character' })
    expect(read(' LD A,5', 'intel-hex').problems[0]).toMatchObject({ code: 'no-colon' })
  })
})

describe('listings', () => {
  test('of assembly have a line for each line of the text', () => {
    const { listing, symbols } = read(assembly)
    expect(
      listing.map(({ line, kind, address, bytes, tStates, tStatesNotTaken, label }) => [
        ...[line, kind, address, bytes.length, tStates, tStatesNotTaken, label],
      ]),
    ).toEqual([
      [1, 'other', null, 0, null, null, null],
      [2, 'instruction', 0x4000, 2, 7, null, 'START'],
      [3, 'instruction', 0x4002, 2, 7, null, null],
      [4, 'instruction', 0x4004, 1, 4, null, 'LOOP'],
      [5, 'instruction', 0x4005, 2, 13, 8, null],
      [6, 'instruction', 0x4007, 1, 4, null, null],
    ])
    expect(listing[1]?.source).toBe('START:  LD A,5      ; five')
    expect(symbols).toEqual({ START: 0x4000, LOOP: 0x4004 })
  })

  test('of a hex dump are its instructions, by the line that each begins in', () => {
    const { listing } = read('3E 05 06\n03 CD 40 00\n76 FF')
    expect(listing.map(({ line, kind, address, source }) => [line, kind, address, source])).toEqual([
      [1, 'instruction', 0x4000, 'START:   LD A,05H'],
      [1, 'instruction', 0x4002, '         LD B,03H'],
      [2, 'instruction', 0x4004, '         CALL PAINT'],
      [3, 'instruction', 0x4007, '         HALT'],
      [3, 'data', 0x4008, '         DB 0FFH'],
    ])
  })

  test('of Intel HEX begin where its start record says', () => {
    const { entry, listing } = read(':03400000FF3E057B\n:0400000500004001B6\n:014003007646\n:00000001FF')
    expect(entry).toBe(0x4001)
    expect(listing.map(({ line, source }) => [line, source])).toEqual([
      [1, '         DB 0FFH'],
      [1, 'START:   LD A,05H'],
      [3, '         HALT'],
    ])
  })

  test('lines of macros know where they stand and from where they were called', () => {
    const { listing } = read('TWO MACRO N\n LD A,N\n ENDM\n TWO 5\n HALT')
    expect(listing.map(({ line, calledFrom, source }) => [line, calledFrom, source])).toEqual([
      [1, undefined, 'TWO MACRO N'],
      [2, undefined, ' LD A,N'],
      [3, undefined, ' ENDM'],
      [4, undefined, ' TWO 5'],
      [2, 4, ' LD A,5'],
      [5, undefined, ' HALT'],
    ])
  })

  test('a listing lends its labels and comments to a disassembly', () => {
    const program = read(assembly)
    const { labels, comments } = listingNotes(program)
    const text = toText(disassemble(program.image, { entry: program.entry, labels, comments }))
    expect(text).toContain('LOOP:    ADD A,B                 ; and three, twice')
    expect(text).toContain('DJNZ LOOP')
    expect(listingNotes(read(forms.hex)).comments.size).toBe(0)
  })
})

describe('what is handed in may be anything', () => {
  test('no text makes it throw, in any form', () => {
    const words = fc.constantFrom(
      ...[
        'LD',
        'A',
        ',',
        '(',
        ')',
        'IX',
        '+',
        '5',
        '0FFH',
        'LP:',
        'JR',
        '$',
        '\n',
        ' ',
        'DB',
        '"',
        "'",
        ';',
        'EQU',
        '-',
      ],
      ...[
        'MACRO',
        'ENDM',
        'REPT',
        'IF',
        'ENDIF',
        'ELSE',
        'ORG',
        'DS',
        'END',
        '%',
        '#',
        ':',
        'X',
        'SET',
        'RST',
        'ü',
        '\t',
      ],
    )
    fc.assert(
      fc.property(
        fc.array(words, { maxLength: 60 }),
        fc.constantFrom('auto', 'hex', 'intel-hex', 'assembly'),
        (some, format) => {
          const program = readProgram({ format: format as 'auto', text: some.join(' ') }, options)
          for (const { at, message } of program.problems) {
            expect(at.line).toBeGreaterThan(0)
            expect(at.column).toBeGreaterThan(0)
            expect(message).not.toMatch(/undefined|NaN|\[object/)
          }
          expect(program.isOk).toBe(!program.problems.some(({ severity }) => severity === 'error'))
        },
      ),
      { numRuns: 2000 },
    )
  })

  test('an empty hand-in is told as such in every form', () => {
    for (const format of ['auto', 'hex', 'intel-hex', 'assembly'] as const)
      expect(read('', format).problems).toMatchObject([{ code: 'empty', severity: 'error' }])
  })

  test('the same text gives the same program, digit for digit', () => {
    const text = 'X EQU 5\n LD A,X\n LD HL,BC\n JP NONE\n'
    expect(JSON.stringify(read(text))).toBe(JSON.stringify(read(text)))
  })
})
