import { instructionSet } from './instruction-set.ts'
import type { Addr, Byte, Instruction } from './instruction.ts'

/** An instruction found in memory. */
export interface Decoded {
  readonly instruction: Instruction
  /** Its bytes as they stand there; as many as `instruction.encoding` has. */
  readonly bytes: readonly Byte[]
}

/** A prefix that the next byte, another prefix, overrides. */
const overridden = (prefix: Byte): Instruction => ({
  text: 'NOP',
  encoding: [prefix],
  isDocumented: false,
  machineCycles: [4],
  isAlias: true,
})
const overriddenDd = overridden(0xdd)
const overriddenFd = overridden(0xfd)

/** The opcode pages by the bytes that lead to them, each with 256 places. */
function pages(): Readonly<Record<string, readonly (Instruction | undefined)[]>> {
  const found: Record<string, (Instruction | undefined)[]> = {}
  for (const instruction of instructionSet) {
    const fixed = instruction.encoding.filter((byte) => typeof byte === 'number')
    const page = fixed.slice(0, -1).join(' ')
    const opcode = fixed.at(-1) ?? 0
    found[page] ??= new Array<Instruction | undefined>(256).fill(undefined)
    found[page][opcode] = instruction
  }
  return found
}
let known: ReturnType<typeof pages> | undefined

/**
 * The instruction that begins at `address`. Every sequence of bytes is an instruction. A DD or FD that another prefix
 * overrides is taken for itself: one byte, `NOP`, an alias. `read` is asked for addresses modulo 65536.
 */
export function decode(read: (address: Addr) => Byte, address: Addr): Decoded {
  known ??= pages()
  const at = (offset: number) => read((address + offset) & 0xffff)
  const first = at(0)
  const second = at(1)
  let page = ''
  let opcode = first
  if (first === 0xcb || first === 0xed) [page, opcode] = [String(first), second]
  else if (first === 0xdd || first === 0xfd) {
    if (second === 0xcb) [page, opcode] = [`${first} ${second}`, at(3)]
    else [page, opcode] = [String(first), second]
  }
  const instruction = known[page]?.[opcode] ?? (first === 0xfd ? overriddenFd : overriddenDd)
  return { instruction, bytes: instruction.encoding.map((_, offset) => at(offset)) }
}
