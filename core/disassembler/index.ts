export {
  disassembleAt,
  namesFrom,
  type AddressUse,
  type DisassembledInstruction,
  type NameOf,
} from './instruction-text.ts'
export { disassemble, type DisassembledLine, type DisassembleOptions } from './disassemble.ts'
export { lineText, toText } from './disassembly-text.ts'
