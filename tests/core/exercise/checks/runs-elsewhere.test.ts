import { describe, expect, test } from 'vitest'
import { gradeWith } from '../grade-with.ts'
import { outcome } from '../try-check.ts'

const relative = `
        LD B,5
        XOR A
LOOP:   ADD A,B
        DJNZ LOOP
        LD (4600H),A
        OUT (24H),A
        HALT
`
const absolute = relative.replace('DJNZ LOOP', 'DEC B\n JP NZ,LOOP')

describe('runs-elsewhere', () => {
  const fields = { at: '4200h' }
  test('relative jumps run anywhere, absolute ones do not', () => {
    expect(gradeWith('runs-elsewhere', fields, relative).outcome).toBe('passed')
    const tied = gradeWith('runs-elsewhere', fields, absolute)
    expect(tied).toMatchObject({ outcome: 'failed', wanted: 'the same outcome at 4200h' })
    expect(tied.message).toMatch(/^Loaded at 4200h the same bytes do something else: /)
  })
  test('one byte further is elsewhere too, the same place is not', () => {
    expect(gradeWith('runs-elsewhere', { at: '4001h' }, absolute).outcome).toBe('failed')
    expect(gradeWith('runs-elsewhere', { at: '4000h' }, absolute).outcome).toBe('passed')
  })
  test('a driver calls the program where it stands then', () => {
    const given = { driver: { origin: '4400h', assembly: ' LD A,7\n CALL ENTRY\n LD (4601H),A\n HALT\n' } }
    const routine = relative.replace('HALT', 'RET')
    const parts = { program: { ends: 'return' }, cases: [{ id: 'one', given }] }
    expect(gradeWith('runs-elsewhere', fields, routine, parts).outcome).toBe('passed')
    expect(gradeWith('runs-elsewhere', fields, routine.replace('DJNZ LOOP', 'DEC B\n JP NZ,LOOP'), parts).outcome).toBe(
      'failed',
    )
  })
  test('a byte of RAM, a register, a port write or the end tells the two apart; the stack does not', () => {
    const at = (moved: object, more: object = {}) =>
      outcome('runs-elsewhere', { ...fields, ...more }, { bytes: [0x76], moved })
    expect(at({})).toBe('passed')
    expect(at({ memory: { 0x4600: [1] } })).toBe('failed')
    expect(at({ registers: { hl: 1 } })).toBe('passed')
    expect(at({ registers: { hl: 1 } }, { registers: ['hl'] })).toBe('failed')
    expect(at({ end: { kind: 'returned' } })).toBe('failed')
    expect(at({ events: [{ kind: 'port-write', t: 1, pc: 0, port: 0x24, value: 1 }] })).toBe('failed')
    // 64 bytes below the start of the stack at 4800h may differ, one more may not.
    expect(at({ memory: { 0x47c0: [1] } })).toBe('passed')
    expect(at({ memory: { 0x47bf: [1] } })).toBe('failed')
    expect(at({ memory: { 0x47c0: [1] } }, { stackBytes: 63 })).toBe('failed')
  })
})
