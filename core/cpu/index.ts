export type { Addr, Byte, Instruction, OperandByte, TState } from './instruction.ts'
export { attribute, type Bus, type Cpu, type CpuStop, type Registers } from './cpu.ts'
export { instructionSet } from './instruction-set.ts'
export { decode, type Decoded } from './decode.ts'
