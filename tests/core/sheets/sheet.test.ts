import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readProgram, type Program } from '../../../core/assembler/index.ts'
import { makeImage, parseHexDump, writeHexDump } from '../../../core/image/index.ts'
import { sheet, sheetKinds, type SheetKind, type SheetOptions } from '../../../core/sheets/index.ts'

function program(text: string): Program {
  return readProgram({ format: 'auto', text }, { origin: 0x4000 })
}

function text(source: string, kind: SheetKind, options: Partial<SheetOptions> = {}): string {
  return sheet(program(source), kind, { format: 'text', ...options })
}

/** The lines from one that begins with `start` up to the next empty one, blanks run together. */
function block(source: string, start: string): string[] {
  const lines = source.split('\n')
  const from = lines.findIndex((line) => line.startsWith(start))
  const length = lines.slice(from).findIndex((line) => line === '')
  return lines.slice(from, length < 0 ? undefined : from + length).map((line) => line.trim().replace(/ +/g, ' '))
}

const threePlusEight = `
START:  LD A,5    ; five
        LD B,3
LOOP:   ADD A,B
        DJNZ LOOP-1+1
        HALT`

describe('keying sheet', () => {
  test('has lines of up to eight bytes, with both check bytes', () => {
    expect(text(threePlusEight, 'keying', { title: 'Three plus eight' }).split('\n\n').slice(-1)).toEqual([
      [
        '4000: 3E 05 06 03 80 10 FD 76  S=4F W=E1',
        '; 4000  3E 05        START     LD A,5                        7',
        '; 4002  06 03                  LD B,3                        7',
        '; 4004  80           LOOP      ADD A,B                       4',
        '; 4005  10 FD                  DJNZ LOOP-1+1              13/8',
        '; 4007  76                     HALT                          4',
        '',
      ].join('\n'),
    ])
  })

  test('ends each line before an address that eight divides, in the midst of an instruction too', () => {
    const keyed = text(' LD HL,1234H| LD DE,5678H| LD BC,9ABCH| DB 1,2,3,4,5,6,7,8,9'.replaceAll('|', '\n'), 'keying')
    expect(keyed.split('\n').filter((line) => line !== '' && !line.startsWith(';'))).toEqual([
      '4000: 21 34 12 11 78 56 01 BC  S=03 W=46',
      '4008: 9A 01 02 03 04 05 06 07  S=B6 W=42',
      '4010: 08 09  S=11 W=1A',
    ])
  })

  test('as text it can be handed in as it stands, whatever the program', () => {
    const pieces = fc.array(
      fc.record({ start: fc.integer({ min: 0, max: 0xff00 }), bytes: fc.uint8Array({ minLength: 1, maxLength: 60 }) }),
      { minLength: 1, maxLength: 3 },
    )
    fc.assert(
      fc.property(pieces.map(makeImage), (image) => {
        const keyed = text(writeHexDump(image), 'keying', { title: 'a; b\n4000: 00' })
        const reading = parseHexDump(keyed, { origin: 0 })
        expect(reading.problems).toEqual([])
        expect(reading.image).toEqual(image)
      }),
    )
  })
})

describe('hand-assembly sheet', () => {
  const source = 'PORT EQU 22H\n ORG 4000H\nGO: LD A,(IX+5) ; fetch\n OUT (PORT),A\n JR GO\nT: DB 1,2,3,4,5'

  test('leaves addresses, bytes and T-states to be written, but for the first address', () => {
    expect(block(text(source, 'hand-assembly'), 'Address')).toEqual([
      'Address Bytes T Label Instruction Comment',
      '------- ----------- ----- -------- ------------------ ------------',
      'PORT EQU 22H',
      'ORG 4000H',
      '4000 ___________ _____ GO LD A,(IX+5) fetch',
      '_______ ___________ _____ OUT (PORT),A',
      '_______ ___________ _____ JR GO',
      '_______ ___________ _____ T DB 1,2,3,4,5',
    ])
  })

  test('its answers are the listing', () => {
    expect(block(text(source, 'hand-assembly', { hasAnswers: true }), 'Address').slice(4)).toEqual([
      '4000 DD 7E 05 19 GO LD A,(IX+5) fetch',
      '4003 D3 22 11 OUT (PORT),A',
      '4005 18 F9 12 JR GO',
      '4007 01 02 03 04 T DB 1,2,3,4,5',
      '05',
    ])
  })

  test('gives each opcode that is needed once, with its operand bytes by name', () => {
    expect(block(text(source, 'hand-assembly'), 'Opcodes').slice(3)).toEqual([
      'JR e 18 e 12',
      'LD A,(IX+d) DD 7E d 19',
      'OUT (n),A D3 n 11',
    ])
  })
})

describe('displacement drill', () => {
  test("works out the program's own jumps first", () => {
    const source = ' ORG 4002H\nBACK: NOP\n DS 26\n DJNZ BACK\n HALT'
    expect(block(text(source, 'displacement', { hasAnswers: true }), 'No.')[2]).toBe(
      '1 401D DJNZ BACK 4002 4002h − 401Fh = −29 E3',
    )
    expect(block(text(source, 'displacement'), 'No.')[2]).toMatch(/^1 401D DJNZ BACK 4002 _+ _+$/)
  })

  test('asks ten, some of which may be too far', () => {
    const rows = block(
      text('A1: NOP\n DS 200\nB1: NOP\n JR B1\n NOP\n NOP\n NOP', 'displacement', { hasAnswers: true }),
      'No.',
    )
    expect(rows).toHaveLength(12)
    expect(rows.join('\n')).toContain('too far')
  })

  test('says so when there is nothing to jump between', () => {
    expect(text(' DB 1', 'displacement')).toContain('no two places to jump between')
  })
})

describe('delay drill', () => {
  const loops = (source: string) => block(text(source, 'delay', { hasAnswers: true }), 'Counting loops').slice(3)

  // Closed forms of the trade, counted with the T-states of UM0080's tables: LD B,n; DJNZ $ takes 13n + 2; the word loop
  // DEC BC, LD A,B, OR C, JR NZ with its load takes 26n + 5; n = 48,076 gives half a second at 2.5 MHz within 0.02 %.
  test.each([
    [1, 13 * 1 + 2],
    [94, 13 * 94 + 2],
    [0, 13 * 256 + 2],
  ])('the byte loop with %i takes %i', (n, tStates) => {
    expect(loops(` LD B,${n}\n DJNZ $\n HALT`)[0]).toContain(` = ${tStates} T`)
  })

  test.each([
    [48_076, 26 * 48_076 + 5],
    [0, 26 * 65_536 + 5],
  ])('the word loop with %i takes %i', (n, tStates) => {
    expect(loops(` LD BC,${n}\nW: DEC BC\n LD A,B\n OR C\n JR NZ,W\n HALT`)[0]).toContain(` = ${tStates} T`)
  })

  test('a loop within a loop is counted with it', () => {
    // Inner: 7 + 13·2 + 8 = 41. Outer round: 41 + 4 + 12 = 57, last 52: 7 + 57·3 + 52 = 230.
    expect(loops(' LD C,4\nW: LD B,3\n DJNZ $\n DEC C\n JR NZ,W\n HALT')).toEqual([
      ...['4004–4004 B 13 T 8 T 3 7 + 13·2 + 8 = 41 T', '= 16.4 µs'],
      ...['4002–4007 C 57 T 52 T 4 7 + 57·3 + 52 = 230 T', '= 92 µs'],
    ])
  })

  test.each([
    ['a call in it', ' LD B,5\nL: CALL 40H\n DJNZ L\n HALT'],
    ['a way out of it', ' LD B,5\nL: JR Z,L2\n DJNZ L\nL2: HALT'],
    ['a counter from elsewhere', ' LD B,A\nL: DJNZ L\n HALT'],
    ['a jump that counts nothing', ' LD B,5\nL: XOR 1\n JR NZ,L\n HALT'],
    ['no end', 'L: NOP\n JR L'],
  ])('a loop with %s is not counted', (_, source) => {
    expect(text(source, 'delay')).toContain('no loop that only counts')
  })

  test('the count for a delay is the nearest there is', () => {
    const rows = block(text(' LD B,5\n DJNZ $\n HALT', 'delay', { hasAnswers: true }), 'What must')
    // 1 ms is 2,500 T: (2500 - 2) / 13 = 192.2.
    expect(rows.slice(3)).toEqual(['4002–4002 1 ms 192 (C0h) 2498 T = 999.2 µs'])
    expect(text(' LD B,5\n DJNZ $\n HALT', 'delay', { clockHz: 4_000_000 })).toContain('one T-state takes 0.25 µs')
  })
})

describe('every sheet', () => {
  test.each(sheetKinds)('%s is a whole page that prints on the paper asked for', (kind) => {
    const a4 = sheet(program(threePlusEight), kind, { format: 'html' })
    const letter = sheet(program(threePlusEight), kind, { format: 'html', paper: 'Letter' })
    expect(a4).toMatch(/^<!doctype html>\n<html lang="en">/)
    expect(a4).toContain('@page { size: A4 portrait;')
    expect(letter).toContain('@page { size: Letter portrait;')
    for (const tag of ['table', 'tr', 'td', 'th', 'p', 'h1', 'body', 'html', 'style'])
      expect(a4.split(`<${tag}`).length - 1, tag).toBe(
        a4.split(`</${tag}>`).length - 1 + (tag === 'th' ? thead(a4) : 0),
      )
  })

  test.each(sheetKinds)('%s shows text from a student as text', (kind) => {
    const source = `L: LD A,'<' ; <img src=x onerror=alert(1)> & "more"\n DJNZ L`
    const html = sheet(program(source), kind, { format: 'html', title: '<script>alert(1)</script>' })
    expect(html).not.toContain('<script')
    expect(html).not.toContain('<img')
    expect(html).toContain('&lt;script&gt;')
  })

  test.each(sheetKinds)('%s is the same for the same program', (kind) => {
    for (const format of ['text', 'html'] as const)
      expect(sheet(program(threePlusEight), kind, { format })).toBe(sheet(program(threePlusEight), kind, { format }))
  })

  test('can be made from a hex dump, and from random bytes', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ minLength: 1, maxLength: 80 }),
        fc.constantFrom(...sheetKinds),
        fc.boolean(),
        (bytes, kind, hasAnswers) => {
          const dump = writeHexDump(makeImage([{ start: 0x4000, bytes }]))
          for (const format of ['text', 'html'] as const)
            expect(sheet(program(dump), kind, { format, hasAnswers })).not.toMatch(/undefined|null|NaN|\[object/)
        },
      ),
    )
  })
})

/** `<thead` begins with `<th` too. */
function thead(html: string): number {
  return html.split('<thead').length - 1
}
