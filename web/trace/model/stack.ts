import type { StackWord } from './moment.ts'

/** A CALL takes three bytes, an RST one; these are their opcodes. */
function callBefore(memory: Uint8Array, address: number): number | null {
  const opcode = memory[(address - 3) & 0xffff] ?? 0
  if (opcode === 0xcd || (opcode & 0xc7) === 0xc4) return (address - 3) & 0xffff
  if (((memory[(address - 1) & 0xffff] ?? 0) & 0xc7) === 0xc7) return (address - 1) & 0xffff
  return null
}

/**
 * The words from SP up to `top` (excluded), at most `most`. A word that stands behind a CALL or RST in memory is taken
 * for the return address of it: right unless a program pushed the same number as data, so the note says "as if".
 */
export function stackWords(
  memory: Uint8Array,
  sp: number,
  top: number,
  nameAt: (address: number) => string,
  most: number,
): readonly StackWord[] {
  const words: StackWord[] = []
  const depth = (top - sp) & 0xffff
  // More than 2 KB in use is a stack pointer that left its place; only what is nearest to it is of interest.
  const bytes = depth > 0x800 ? most * 2 : depth
  for (let i = 0; i + 1 < bytes && words.length < most; i += 2) {
    const address = (sp + i) & 0xffff
    const value = (memory[address] ?? 0) | ((memory[(address + 1) & 0xffff] ?? 0) << 8)
    const call = callBefore(memory, value)
    const caller = call === null ? 'nowhere' : nameAt(call)
    // Where no memory is, FF is read, which would be an RST: such a word is data.
    words.push({ address, value, note: caller === 'nowhere' ? null : `as if called in ${caller}` })
  }
  return words
}
