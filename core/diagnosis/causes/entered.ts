import { decode, type Addr, type Byte } from '../../cpu/index.ts'
import type { Draft } from './draft.ts'

/**
 * Addresses that a program names as code or as a number of two bytes: where CALL, RST, JP, JR and DJNZ go, and what is
 * loaded to be jumped to. Asked of the instructions that begin at the given addresses. A routine whose entry is not among them is not called by the program's text.
 */
export function enteredBy(draft: Draft, instructions: readonly { readonly address: Addr }[]): ReadonlySet<Addr> {
  const read = (address: Addr): Byte => draft.byte(address)
  return new Set(instructions.flatMap(({ address }) => enteredAt(read, address)))
}

function enteredAt(read: (address: Addr) => Byte, address: Addr): readonly Addr[] {
  const { instruction, bytes } = decode(read, address)
  const { encoding, text } = instruction
  const [low, offset] = [encoding.indexOf('nl'), encoding.indexOf('e')]
  if (low >= 0) return [(bytes[low] ?? 0) | ((bytes[low + 1] ?? 0) << 8)]
  if (offset >= 0) return [(address + bytes.length + (((bytes[offset] ?? 0) ^ 0x80) - 0x80)) & 0xffff]
  // The opcode of RST holds the address itself, in bits 3 to 5.
  return text.startsWith('RST') ? [(bytes[0] ?? 0) & 0x38] : []
}
