import { type Addr, type Byte, decode } from '../../../core/cpu/index.ts'
import { showByte, showWord } from '../../../core/image/index.ts'
import type { CodeLine } from '../model/moment.ts'

/** Lines shown before PC and, with the one at PC, from it on. */
const before = 6
const after = 10
/** Going back, instructions fall into step with the true ones within a few bytes; this is where to begin. */
const runUp = 24

/**
 * Some lines about `pc`, read from memory. What stands before `pc` is found by decoding forward from further back, from
 * the first start that comes to `pc` exactly: right for code, a guess where data stands before it.
 */
export function codeAround(
  memory: Uint8Array,
  pc: Addr,
  nameAt: (address: Addr) => string | null,
): readonly CodeLine[] {
  const read = (address: Addr) => memory[address & 0xffff] ?? 0
  const lines = leading(read, pc).slice(-before)
  for (let at = pc; lines.length < before + after && at <= 0xffff; at += decode(read, at).bytes.length) lines.push(at)
  return lines.map((address) => {
    const { instruction, bytes } = decode(read, address)
    const text = spell(instruction.text, instruction.encoding, bytes, address, nameAt)
    return { address, bytes, text, label: nameAt(address) }
  })
}

function leading(read: (address: Addr) => Byte, pc: Addr): Addr[] {
  for (let start = Math.max(0, pc - runUp); start < pc; start += 1) {
    const found: Addr[] = []
    let at = start
    while (at < pc) {
      found.push(at)
      at += decode(read, at).bytes.length
    }
    if (at === pc) return found
  }
  return []
}

/** The manual's spelling with its placeholders filled in: `JR NZ,e` becomes `JR NZ,LOOP`. */
function spell(
  text: string,
  encoding: readonly (Byte | string)[],
  bytes: readonly Byte[],
  address: Addr,
  nameAt: (address: Addr) => string | null,
): string {
  const operand = (kind: string) => bytes[encoding.indexOf(kind)] ?? 0
  const signed = (byte: Byte) => (byte << 24) >> 24
  const place = (target: Addr) => nameAt(target) ?? showWord(target)
  return text
    .replace(/\bnn\b/, () => place(operand('nl') | (operand('nh') << 8)))
    .replace(/\bn\b/, () => showByte(operand('n')))
    .replace(/\be\b/, () => place((address + 2 + signed(operand('e'))) & 0xffff))
    .replace(/\+d\b/, () => `${signed(operand('d')) < 0 ? '-' : '+'}${showByte(Math.abs(signed(operand('d'))))}`)
}
