import { decode, type Addr, type Byte, type Instruction } from '../cpu/index.ts'

/** What an address in an instruction is for: to go to, to read or write, or simply a number of 16 bits. */
export type AddressUse = 'code' | 'memory' | 'number'

/** The name to write for an address, or null to write it as a number. */
export type NameOf = (address: Addr, use: AddressUse) => string | null

/** One instruction in memory as text. */
export interface DisassembledInstruction {
  readonly address: Addr
  readonly bytes: readonly Byte[]
  /** As an assembler reads it: `LD A,(IX-2)`, `JR NZ,LOOP`, `CALL 0040H`. */
  readonly text: string
  readonly instruction: Instruction
  readonly tStates: number
  readonly tStatesNotTaken: number | null
  /** The address in it and what it is for; null where there is none. */
  readonly refersTo: { readonly address: Addr; readonly use: AddressUse } | null
  /** True when assembling the text gives these bytes; false for encodings that no assembler emits. */
  readonly isExact: boolean
}

/** The instruction that begins at `address`; there is always one. `read` is asked for addresses modulo 65536. */
export function disassembleAt(
  read: (address: Addr) => Byte,
  address: Addr,
  nameOf: NameOf = () => null,
): DisassembledInstruction {
  const { instruction, bytes } = decode(read, address)
  const refersTo = reference(instruction, bytes, address)
  const name = refersTo === null ? null : nameOf(refersTo.address, refersTo.use)
  return {
    address: address & 0xffff,
    bytes,
    text: filledText(instruction, bytes, refersTo === null ? '' : (name ?? wordLiteral(refersTo.address))),
    instruction,
    tStates: total(instruction.machineCycles),
    tStatesNotTaken: instruction.machineCyclesNotTaken === undefined ? null : total(instruction.machineCyclesNotTaken),
    refersTo,
    isExact: instruction.isAlias !== true,
  }
}

/** Names for addresses that are gone to, read or written, from a table of names. A plain 16-bit number stays one. */
export function namesFrom(symbols: Readonly<Record<string, number>>): NameOf {
  const byAddress = new Map<Addr, string>()
  for (const [name, address] of Object.entries(symbols)) if (!byAddress.has(address)) byAddress.set(address, name)
  return (address, use) => (use === 'number' ? null : (byAddress.get(address) ?? null))
}

/** A byte as an assembler reads it: `05H`, `0FFH`. */
export function byteLiteral(value: Byte): string {
  return literal(value.toString(16).toUpperCase().padStart(2, '0'))
}

/** A word as an assembler reads it: `1234H`, `0FFFFH`. */
export function wordLiteral(value: Addr): string {
  return literal(value.toString(16).toUpperCase().padStart(4, '0'))
}

function literal(digits: string): string {
  return `${/^[A-F]/.test(digits) ? '0' : ''}${digits}H`
}

function reference(
  instruction: Instruction,
  bytes: readonly Byte[],
  address: Addr,
): DisassembledInstruction['refersTo'] {
  const { encoding, text } = instruction
  const e = encoding.indexOf('e')
  if (e >= 0) {
    const distance = ((bytes[e] ?? 0) ^ 0x80) - 0x80
    return { address: (address + bytes.length + distance) & 0xffff, use: 'code' }
  }
  const low = encoding.indexOf('nl')
  if (low < 0) return null
  const word = (bytes[low] ?? 0) | ((bytes[low + 1] ?? 0) << 8)
  return { address: word, use: /^(JP|CALL)\b/.test(text) ? 'code' : text.includes('(nn)') ? 'memory' : 'number' }
}

function filledText({ text, encoding }: Instruction, bytes: readonly Byte[], word: string): string {
  if (encoding.every((byte) => typeof byte === 'number')) return text
  const at = (kind: 'n' | 'd') => bytes[encoding.indexOf(kind)] ?? 0
  const displacement = (at('d') ^ 0x80) - 0x80
  return text
    .replace('+d)', displacement < 0 ? `${displacement})` : `+${displacement})`)
    .replace(/\b(?:nn|e)\b/, word)
    .replace(/\bn\b/, byteLiteral(at('n')))
}

function total(cycles: readonly number[]): number {
  return cycles.reduce((sum, each) => sum + each, 0)
}
