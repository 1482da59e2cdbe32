import { describe, expect, test } from 'vitest'
import { referenceRows } from '../image/reference.ts'
import { messages, outcome, problems, run } from './notation.ts'

// tests/fixtures/reference/z80-dialect.csv: `suggested` is what a student would expect.
const rows = referenceRows('z80-dialect.csv').map(({ source = '', suggested = '', note = '' }) => ({
  source,
  suggested,
  note,
}))

describe('the table of dialects', () => {
  test.each(rows.filter((row) => row.suggested !== ''))('$source is $suggested', ({ source, suggested }) => {
    expect(outcome(source)).toBe(suggested)
  })

  test.each(rows.filter((row) => row.suggested === 'error'))(
    '$source says what was found and what is allowed',
    (row) => {
      for (const { message, found, allowed, at } of run(row.source).problems) {
        expect(message).toMatch(/^[^\n]{20,400}[.:]$/)
        expect(message).not.toMatch(/undefined|null|NaN|\[object|#/)
        expect(found).not.toBe('')
        expect(allowed).not.toBe('')
        expect(row.source.split('|')[at.line - 1]?.length).toBeGreaterThanOrEqual(at.column)
      }
    },
  )

  // Where assemblers differ and nothing is suggested, this is what we do.
  test.each([
    ['Loop: JR LOOP', '18FE'],
    [' LD A,(IX+0FEH)', 'error'],
    [' RST 1', 'error'],
    [' OUT (C),F', 'error'],
    [' IN A,(BC)', 'error'],
    [' PUSH BC,DE', 'error'],
    [' NEG A', 'error'],
    [' JP (1234H)', 'error'],
    [' NOP: NOP', 'error'],
  ])('%s, where there is no common answer, is %s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test('no row without a common answer is left undecided', () => {
    expect(rows.filter((row) => row.suggested === '')).toHaveLength(9)
  })
})

describe('messages say what would have been taken', () => {
  test.each([
    [' LD A,FFH', 'FFH begins with a letter, so it is read as a name. For the hexadecimal number write 0FFH.'],
    [' LD A,5A', '5A is no number. For a hexadecimal number write 5AH.'],
    [
      ' LD A,102B',
      '102B is no number. A binary number has the digits 0 and 1 only; a hexadecimal one is written 102BH.',
    ],
    [' LD A,OFFH', 'OFFH is not defined anywhere in this program. Was 0FFH meant, with the digit 0?'],
    [
      ' LD A,256',
      '256 does not fit into a byte, which holds 0 to 255, or -128 to -1. For the byte that stands at that address write it in brackets: LD A,(256).',
    ],
    [' DB 256', '256 does not fit into a byte, which holds 0 to 255, or -128 to -1. For a number of two bytes use DW.'],
    [' LD HL,65536', '65536 does not fit into 16 bits, which hold 0 to 65535, or -32768 to -1.'],
    [
      ' LD A,(IX+0FEH)',
      'The displacement 254 is out of range: (IX+d) reaches from -128 to +127. If the byte 0FEH was meant, write (IX-2).',
    ],
    [' OUT (256),A', 'There is no port 256: the number of a port is one byte, 0 to 255.'],
    [
      ' JR $+140',
      'JR is out of range: the target is 140 bytes away; JR reaches -126 to +129 from its own address; JP reaches everywhere.',
    ],
    [
      ' ORG 4000H| JR 0FBH',
      'JR is out of range: the target is 16133 bytes back; JR reaches -126 to +129 from its own address; JP reaches everywhere. JR takes the address to go to, not the distance: for a distance write $ and a sign, as in JR $+5.',
    ],
    [
      ' DJNZ $-127',
      'DJNZ is out of range: the target is 127 bytes back; DJNZ reaches -126 to +129 from its own address; DEC B and JP NZ reach everywhere.',
    ],
    [
      ' LD HL,BC',
      'The Z80 has no LD HL,BC. There is only LD (address),BC. In LD HL,… there may stand a word or (address). Write LD H,B and LD L,C.',
    ],
    [
      ' LD (HL),(HL)',
      'The Z80 has no LD (HL),(HL). In LD (HL),… there may stand A to E, H, L or a byte. In LD …,(HL) there may stand A to E, H, L. Memory goes to memory through a register: LD A,(HL) and LD (HL),A.',
    ],
    [
      ' LD B,(BC)',
      'The Z80 has no LD B,(BC). There is only LD A,(BC). In LD B,… there may stand A to E, H, L, IXH, IXL, IYH, IYL, a byte, (HL), (IX+d) or (IY+d). Go through A: LD A,(BC) and LD B,A.',
    ],
    [' LD I,B', 'The Z80 has no LD I,B. There is only LD I,A. Go through A: LD A,B and LD I,A.'],
    [' ADD HL,IX', 'The Z80 has no ADD HL,IX. There is only ADD IX,IX. In ADD HL,… there may stand BC, DE, HL or SP.'],
    [
      ' SUB HL,DE',
      'SUB takes one operand, but 2 are written here. For a 16-bit difference clear the carry with OR A, then SBC HL,DE.',
    ],
    [' EX DE,IX', 'The Z80 has no EX DE,IX. There are only EX DE,HL and EX (SP),IX.'],
    [' JR PO,$', 'The Z80 has no JR PO,$. In JR …,$ there may stand NZ, Z, NC or C. JP PO,$ has this condition.'],
    [
      ' JP (1234H)',
      'The Z80 has no JP (1234H). In JP … there may stand a word, (HL), (IX) or (IY). Brackets mean the contents of memory; to go to that address write JP 1234H.',
    ],
    [' PUSH BC,DE', 'PUSH takes one operand, but 2 are written here. Write PUSH BC and PUSH DE, one to a line.'],
    [' NEG A', 'NEG takes no operand, but one is written here. Write NEG alone.'],
    [' LD A', 'LD takes two operands, but one is written here.'],
    [' LD A,', 'An operand of LD is missing before or after a comma.'],
    [' BIT 8,A', 'The Z80 has no BIT 8,A. In BIT …,A there may stand 0 to 7.'],
    [' IM 3', 'The Z80 has no IM 3. In IM … there may stand 0, 1 or 2.'],
    [' RST 1', 'The Z80 has no RST 1. Restart number 1 is written with its address: RST 08H.'],
    [
      ' OUT (5),B',
      'The Z80 has no OUT (5),B. There are only OUT (5),A and OUT (C),B. Load A first and write OUT (5),A, or put the port into C and write OUT (C),B.',
    ],
    [' MOV A,B', "MOV is the 8080's word. The Z80's way is, for example, LD A,B."],
    [' HLT', "HLT is the 8080's word. The Z80's way is, for example, HALT."],
    ['HLT', 'HLT is no instruction of the Z80. Write HALT; for a label of that name write HLT:'],
    ['RETT', 'RETT is read as a label here. If the instruction RET was meant, mend it; for a label write RETT:'],
    [' LOAD A,B', 'There is no instruction LOAD. Was LD meant?'],
    [' LOOP', 'There is no instruction LOOP. If it is a label, put a colon behind it: LOOP:'],
    [' LOOP B,5', 'There is no instruction LOOP. If it is a label, put a colon behind it: LOOP:'],
    [' TOP', 'There is no instruction TOP. If it is a label, put a colon behind it: TOP:'],
    [' SHOW A', 'There is no instruction SHOW. If it is a label, put a colon behind it: SHOW:'],
    [' POPP HL', 'There is no instruction POPP. Was POP meant?'],
    [' LF A,5', 'There is no instruction LF. Was LD meant?'],
    [' STOP', 'There is no instruction STOP. Was HALT meant?'],
    ['L1: NOP| JR L2', 'L2 is not defined anywhere in this program.'],
    ['X: NOP| JR W', 'W is not defined anywhere in this program.'],
    [' HALTT', 'There is no instruction HALTT. Was HALT meant?'],
    [' A,5', 'A is a register, no instruction. Was LD A,… meant?'],
    [
      ' INCLUDE "X"',
      'INCLUDE is not known here. Other files cannot be taken in: put all of the program into this text.',
    ],
    [' QWERTY A,B', 'There is no instruction QWERTY. If it is a label, put a colon behind it: QWERTY:'],
    [
      '3E 05 ; LD A,5',
      'This line is bytes of a hex dump, not an instruction. Hand the program in as a hex dump, or write the bytes with DB.',
    ],
    ['+5', "A line begins with a label or an instruction, not with '+'."],
    [' LD A,Z+1', 'Z is a condition, as in JP Z, and has no value of its own.'],
    [
      'A: NOP',
      'A is the name of a register or condition, so it cannot be a name of the program. Choose another, such as A1.',
    ],
    [
      'X: NOP|x: NOP',
      'x is defined twice: first in line 1 as X (capitals make no difference), again here. Choose another name for one of them.',
    ],
    ['LOOP: NOP| JR LOP', 'LOP is not defined anywhere in this program. Was LOOP meant?'],
    [
      ' LD A,(HL+1)',
      'HL is a register and cannot be part of a sum: its value is known only while the program runs. Only (IX+d) and (IY+d) take a displacement.',
    ],
    [' LD A,(IX*2)', 'With IX a displacement is added or taken away, as in (IX+5) or (IX-2).'],
    [' LD A,“Z”', "'“' (U+201C) cannot stand here. Was the plain quote \" meant?"],
    [' LD A,5–3', "'–' (U+2013) cannot stand here. Was the minus sign - meant?"],
    [" LD A,'Z", "The text that begins with ' here is not closed: put ' at its end."],
    [' LD A,(5', "The bracket '(' is not closed: a ')' is missing."],
    [' LD A,5)', "There is a ')' too many here."],
    [' LD A,5 6', "'6' cannot follow a finished value. An operator such as + is missing before it, or it is too much."],
    [" LD A,'AB'", "A text can stand for a number only if it is one character, as in 'Z'; this one has 2."],
    [' DB "für"', "'ü' is no character of ASCII, so it has no value of one byte. Write its byte as a number."],
    [' LD A,5/0', 'A division by 0 has no result.'],
    [' DB', 'DB needs at least one value behind it.'],
  ])('%j', (source, message) => {
    expect(messages(source)[0] ?? null).toBe(message)
  })
})

test('a name that the program goes to is a label, however like an instruction it looks', () => {
  expect(messages('RETT| JR RETT')).toEqual([])
  expect(messages('HLT| JR HLT')).toEqual([])
  expect(messages('RET1| NOP')).toEqual([])
})

describe('one bad line never hides the others', () => {
  test('each bad line is told, and the good ones are assembled', () => {
    const program = run(' LD A,5| LD HL,BC|LP: FOO 3| LD B,1H0| DB 300,1| JR LP| JP NONE')
    expect(problems(program)).toEqual([
      ...['2:2 no-such-instruction', '3:5 unknown-instruction', '4:7 bad-number', '5:5 does-not-fit'],
      '7:5 not-defined',
    ])
  })

  test('a label on a bad line is there for the others', () => {
    expect(problems(run('LP: LD A,1H0| JR LP'))).toEqual(['1:10 bad-number'])
  })

  test('two mistakes in one line are both told', () => {
    expect(problems(run(' LD A,(NONE+NADA)'))).toEqual(['1:8 not-defined', '1:13 not-defined'])
    expect(problems(run(' DB 256,-129,5'))).toEqual(['1:5 does-not-fit', '1:9 does-not-fit'])
  })
})
