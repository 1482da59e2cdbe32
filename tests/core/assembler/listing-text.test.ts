import { describe, expect, test } from 'vitest'
import { formatListing } from '../../../core/assembler/index.ts'
import { run } from './notation.ts'

function listing(source: string): string[] {
  return formatListing(run(source)).trimEnd().split('\n')
}

describe('a listing as text', () => {
  test('has address, bytes, T-states, line and source, then the symbols', () => {
    expect(listing(' ORG 4000H|COUNT EQU 5|START: LD B,COUNT|LOOP: DJNZ LOOP ; wait| HALT|T: DB 1,2,3,4,5')).toEqual([
      'Addr  Bytes            T  Line  Source',
      '4000                         1   ORG 4000H',
      '                             2  COUNT EQU 5',
      '4000  06 05            7     3  START: LD B,COUNT',
      '4002  10 FE         13/8     4  LOOP: DJNZ LOOP ; wait',
      '4004  76               4     5   HALT',
      '4005  01 02 03 04            6  T: DB 1,2,3,4,5',
      '4009  05',
      '',
      'Symbols',
      'COUNT  0005h',
      'LOOP   4002h',
      'START  4000h',
      'T      4005h',
    ])
  })

  test('tells each problem below its line, and marks lines that a macro put in', () => {
    expect(listing('TWO MACRO| NOP| ENDM| TWO| LD HL,BC')).toEqual([
      'Addr  Bytes            T  Line  Source',
      '                             1  TWO MACRO',
      '                             2   NOP',
      '                             3   ENDM',
      '                             4   TWO',
      '0000  00               4     2+  NOP',
      '                             5   LD HL,BC',
      '*** error, line 5, column 2: The Z80 has no LD HL,BC. There is only LD (address),BC. In LD HL,… there may stand a word or (address). Write LD H,B and LD L,C.',
    ])
  })
})
