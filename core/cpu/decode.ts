import { definitions, type Definition } from './instruction-set.ts'
import type { Addr, Byte, Instruction } from './instruction.ts'

/** An instruction found in memory. */
export interface Decoded {
  readonly instruction: Instruction
  /** Its bytes as they stand there; as many as `instruction.encoding` has. */
  readonly bytes: readonly Byte[]
}

/** A prefix that the next byte, another prefix, overrides. */
const overridden = (prefix: Byte): Definition => ({
  text: 'NOP',
  encoding: [prefix],
  isDocumented: false,
  machineCycles: [4],
  isAlias: true,
  effect: '',
})
const overriddenPrefixes: Readonly<Record<number, Definition>> = { 0xdd: overridden(0xdd), 0xfd: overridden(0xfd) }

/** The opcode pages by the bytes that lead to them, each with 256 places. */
function pages(): Readonly<Record<string, readonly (Definition | undefined)[]>> {
  const found: Record<string, (Definition | undefined)[]> = {}
  for (const definition of definitions) {
    const fixed = definition.encoding.filter((byte) => typeof byte === 'number')
    const page = fixed.slice(0, -1).join(' ')
    const opcode = fixed.at(-1) ?? 0
    found[page] ??= new Array<Definition | undefined>(256).fill(undefined)
    found[page][opcode] = definition
  }
  return found
}
let known: ReturnType<typeof pages> | undefined

/** The definition of the instruction whose bytes `byteAt(0)`, `byteAt(1)` … are; it asks for no more than it needs. */
export function definitionOf(byteAt: (offset: number) => Byte): Definition {
  known ??= pages()
  const first = byteAt(0)
  let found: Definition | undefined
  if (first === 0xcb || first === 0xed) found = known[first]?.[byteAt(1)]
  else if (first === 0xdd || first === 0xfd) {
    const second = byteAt(1)
    found = second === 0xcb ? known[`${first} ${second}`]?.[byteAt(3)] : known[first]?.[second]
    found ??= overriddenPrefixes[first]
  } else found = known['']?.[first]
  if (!found) throw new Error(`no instruction begins with byte ${first}`)
  return found
}

/**
 * The instruction that begins at `address`. Every sequence of bytes is an instruction. A DD or FD that another prefix
 * overrides is taken for itself: one byte, `NOP`, an alias. `read` is asked for addresses modulo 65536.
 */
export function decode(read: (address: Addr) => Byte, address: Addr): Decoded {
  const byteAt = (offset: number) => read((address + offset) & 0xffff)
  const instruction = definitionOf(byteAt)
  return { instruction, bytes: instruction.encoding.map((_, offset) => byteAt(offset)) }
}
