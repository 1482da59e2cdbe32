export type { Addr, Byte, Instruction, OperandByte, TState } from './instruction.ts'
export {
  attribute,
  type AnyRegister,
  type Bus,
  type ByteRegister,
  type Cpu,
  type CpuState,
  type CpuStop,
  type Registers,
  type Trace,
  type TracedStep,
  type TracedWrite,
} from './cpu.ts'
export { createBusProbe, createCpu } from './create-cpu.ts'
export type { BusState } from './evaluate.ts'
export { instructionSet } from './instruction-set.ts'
export { decode, type Decoded } from './decode.ts'
export { instructionUse, type InstructionUse, type UsedRegister } from './instruction-use.ts'
export { dataFlow, interruptFlow, type BusAccess, type DataFlow, type Sources } from './data-flow.ts'
export { registerParts } from './register-parts.ts'
export type { Before } from './state-before.ts'
export { memoryReads, stopsForUndefined, type AddressRegister, type MemoryReadAddress } from './memory-reads.ts'
