import type { Registers } from './cpu.ts'
import type { RegisterName } from './effect.ts'
import type { Addr, Byte } from './instruction.ts'
import { pairs } from './register-parts.ts'

/** The state before an instruction: what its addresses are worked out from. */
export interface Before {
  readonly registers: Readonly<Registers>
  readonly bytes: readonly Byte[]
  readonly read: (address: Addr) => Byte
}

/** An operand's value; `d` and `e` signed. */
export function operandOf(name: string, encoding: readonly (Byte | string)[], bytes: readonly Byte[]): number {
  const byteOf = (operand: string): Byte => bytes[encoding.indexOf(operand)] ?? 0
  if (name === 'nn') return byteOf('nl') | (byteOf('nh') << 8)
  const value = byteOf(name)
  return name === 'n' || name === 'bus' ? value : (value ^ 0x80) - 0x80
}

/** A register's value before the instruction; PC is behind it. */
export function registerOf(name: RegisterName, { registers, bytes }: Before): number {
  const half = (pair: number, isHigh: boolean): number => (isHigh ? pair >> 8 : pair & 0xff)
  switch (name) {
    case 'AF':
    case 'BC':
    case 'DE':
    case 'HL':
    case 'IX':
    case 'IY':
    case 'SP':
    case 'WZ':
    case 'I':
    case 'R':
    case 'Q':
    case 'IM':
      return registers[name.toLowerCase() as 'af']
    // Behind the instruction, as the table has it.
    case 'PC':
      return (registers.pc + bytes.length) & 0xffff
    case "AF'":
    case "BC'":
    case "DE'":
    case "HL'":
      return registers[name.toLowerCase().replace("'", '_') as 'af_']
    case 'IFF1':
    case 'IFF2':
      return Number(registers[name.toLowerCase() as 'iff1'])
    case 'IXH':
    case 'IXL':
    case 'IYH':
    case 'IYL':
      return half(registers[name.slice(0, 2).toLowerCase() as 'ix'], name.endsWith('H'))
    default: {
      const pair = Object.keys(pairs).find((each) => each.length === 2 && each.includes(name)) ?? 'AF'
      return half(registers[pair.toLowerCase() as 'af'], pair.startsWith(name))
    }
  }
}
