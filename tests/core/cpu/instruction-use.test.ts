import { describe, expect, test } from 'vitest'
import { instructionUse } from '../../../core/cpu/index.ts'

function use(hex: string) {
  const bytes = hex.split(' ').map((byte) => Number.parseInt(byte, 16))
  const { reads, writes, flagsRead, flagsWritten, ...rest } = instructionUse((offset) => bytes[offset] ?? 0)
  return { reads: [...reads].sort().join(' '), writes: [...writes].sort().join(' '), flagsRead, flagsWritten, rest }
}
const carry = 0x01
const zero = 0x40
const all = 0xd7

// By the manual UM0080.
describe('what an instruction reads and writes', () => {
  test.each([
    ['LD B,C', '41', 'C', 'B', 0, 0],
    ['LD HL,1234h', '21 34 12', '', 'H L', 0, 0],
    ['LD (HL),A', '77', 'A H L', '', 0, 0],
    ['XOR A, whose result does not depend on A', 'AF', '', 'A', 0, all],
    ['OR C', 'B1', 'A C', 'A', 0, all],
    ['ADC A,L', '8D', 'A L', 'A', carry, all],
    ['INC B, which keeps the carry', '04', 'B', 'B', 0, all & ~carry],
    ['DEC BC, which changes no flag', '0B', 'B C', 'B C', 0, 0],
    ['ADD HL,DE, which sets only H, N and C', '19', 'D E H L', 'H L', 0, 0x13],
    ['JR NZ', '20 FE', '', '', zero, 0],
    ['JR NC', '30 FE', '', '', carry, 0],
    ['DJNZ', '10 FE', 'B', 'B', 0, 0],
    ['PUSH AF', 'F5', 'A SP', 'SP', 0xff, 0],
    ['RET', 'C9', 'SP', 'SP', 0, 0],
    ['RL E', 'CB 13', 'E', 'E', carry, all],
    ['RLCA', '07', 'A', 'A', 0, 0x13],
    ['SCF', '37', '', '', 0, 0x13],
    ['LDIR', 'ED B0', 'B C D E H L', 'B C D E H L', 0, 0x16],
    ['EXX', 'D9', "B BC' C D DE' E H HL' L", "B BC' C D DE' E H HL' L", 0, 0],
    ['OUT (22h),A', 'D3 22', 'A', '', 0, 0],
  ])('%s', (_, hex, reads, writes, flagsRead, flagsWritten) => {
    expect(use(hex)).toMatchObject({ reads, writes, flagsRead, flagsWritten })
  })
  test('memory and ports', () => {
    expect(use('7E').rest).toMatchObject({ readsMemory: true, writesMemory: false })
    expect(use('C5').rest).toMatchObject({ readsMemory: false, writesMemory: true })
    expect(use('DB 23').rest).toMatchObject({ readsPort: true, writesPort: false })
    expect(use('D3 22').rest).toMatchObject({ readsPort: false, writesPort: true })
  })
})
