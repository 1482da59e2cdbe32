import { describe, expect, test } from 'vitest'
import { disassemble, toText } from '../../../core/disassembler/index.ts'
import { listingNotes } from '../../../core/assembler/index.ts'
import { bytes, messages, outcome, problems, run } from './notation.ts'

describe('a name with a dot belongs to the label above it', () => {
  test.each([
    ['ONE: LD B,1|.loop: DJNZ .loop|TWO: LD B,2|.loop: DJNZ .loop', '060110FE060210FE'],
    ['ONE: JR .end|.end: HALT|TWO: JR .end|.end: HALT', '18007618' + '0076'],
    ['ONE: NOP|.loop DJNZ .LOOP', '0010FE'],
    ['ONE: NOP|.loop| DJNZ .loop', '0010FE'],
    ['ONE: NOP| .loop| DJNZ .loop', '0010FE'],
    ['ONE: NOP|.1: DJNZ .1', '0010FE'],
    ['ONE: DJNZ .x|.x: NOP', '100000'],
    ['ONE: NOP|.x: NOP|TWO: JP ONE.x', '0000C30100'],
    [' JP TWO.x|ONE: NOP|.x: NOP|TWO: NOP|.x: NOP', 'C30600000' + '00000'],
    ['ONE: NOP|COUNT EQU 5|.x: DJNZ .x', '0010FE'],
    ['ONE: NOP|.five EQU 5| LD B,.five|TWO: NOP|.five EQU 6| LD B,.five', '0006050' + '00606'],
    ['ONE: NOP|.x: NOP|ONE.y: DJNZ .x', '000010FD'],
    ['ONE: NOP|.x: DB .x-ONE', '0001'],
    // Above all labels it is a name for the whole text.
    ['.x: DJNZ .x|ONE: DJNZ .x', '10FE10FC'],
    ['.x: NOP|ONE: NOP|.x: DJNZ .x', '000010FE'],
    ['.x EQU 5|ONE: LD B,.x|.y EQU .x+1| LD B,.y', '06050606'],
    ['ONE: IFDEF ONE| ENDIF|.x: NOP| IFDEF .x| HALT| ENDIF', '0076'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test('the symbols have its name in full, as first written', () => {
    expect(run('Show: NOP|.loop: DJNZ .loop').symbols).toEqual({ Show: 0, 'Show.loop': 1 })
    expect(run('Show: NOP|.loop: DJNZ .loop').listing[1]).toMatchObject({ label: 'Show.loop', address: 1 })
  })

  test('directives with a dot stay directives', () => {
    expect(outcome('ONE: .db 1,2| .org 10| .byte 3')).toBe('0102 000A=03')
  })

  test.each([
    [
      'ONE: JR .x|TWO: NOP|.x: NOP',
      'ONE.x is not defined: a name with a dot belongs to the label above it. The one below another label is TWO.x: write that, or put the dot name below its own label.',
    ],
    ['ONE: JR .lop|.loop: NOP', 'ONE.lop is not defined anywhere in this program.'],
    [
      'ONE: NOP|.x: NOP|.X: NOP',
      'ONE.X is defined twice: first in line 2 as ONE.x (capitals make no difference), again here. Choose another name for one of them.',
    ],
  ])('%s is told', (source, message) => {
    expect(messages(source)[0]).toContain(message.slice(0, 400))
  })
})

describe('in macros and REPT', () => {
  test.each([
    // Each call and each round has its own, without LOCAL.
    ['WAIT MACRO N| LD B,N|.w: DJNZ .w| ENDM|ONE: WAIT 1| WAIT 2', '060110FE060210FE'],
    ['ONE: NOP| REPT 2|.w: DJNZ .w| ENDM', '0010FE10FE'],
    ['WAIT MACRO N| LD B,N|.w: DJNZ .w| ENDM| WAIT 1', '060110FE'],
    // A call between a label and its use changes nothing.
    ['WAIT MACRO| LOCAL LP|LP: DJNZ LP| ENDM|ONE: NOP|.w: NOP| WAIT| JR .w', '000010FE18FB'],
    ['WAIT MACRO|.w: DJNZ .w| ENDM|ONE: NOP|.w: NOP| WAIT| JR .w', '000010FE18FB'],
    // What a macro does not define is that of the place it was called from.
    ['BACK MACRO| JR .w| ENDM|ONE: NOP|.w: BACK', '0018FE'],
    ['BACK MACRO T| JR T| ENDM|ONE: NOP|.w: BACK .w', '0018FE'],
    ['BACK MACRO T|.w: NOP| JR T| ENDM|ONE: NOP|.w: BACK .w', '000018FD'],
    ['ONE: NOP|.w: REPT 2| DJNZ .w| ENDM', '0010FE10FC'],
    // A label that a macro writes is a label above what follows.
    ['PROC MACRO NAME|NAME: NOP| ENDM| PROC ONE|.w: DJNZ .w| PROC TWO|.w: DJNZ .w| JP ONE.w', '0010FE0010FEC30100'],
    ['OUTER MACRO| INNER .w|.w: NOP| ENDM|INNER MACRO T|.w: JR T| ENDM|ONE: OUTER', '180000'],
  ])('%s', (source, wanted) => {
    expect(outcome(source)).toBe(wanted)
  })

  test('the names of a call are in no symbol table, and the disassembly with the writer’s labels assembles again', () => {
    const program = run('WAIT MACRO|.w: DJNZ .w| ENDM|ONE: NOP|.w: WAIT| WAIT| JR .w')
    expect(problems(program)).toEqual([])
    expect(program.symbols).toEqual({ ONE: 0, 'ONE.w': 1 })
    const text = toText(disassemble(program.image, { entry: 0, ...listingNotes(program) }))
    expect(text).toContain('ONE.w:')
    expect(bytes(run(text))).toBe(bytes(program))
  })
})
