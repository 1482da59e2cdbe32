import type { Addr, Byte } from '../../core/cpu/index.ts'
import { disassembleAt } from '../../core/disassembler/index.ts'
import type { CodeLine } from './shown-lines.ts'

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
  const lengthAt = (address: Addr) => disassembleAt(read, address).bytes.length
  const addresses = leading(lengthAt, pc).slice(-before)
  const most = addresses.length + after
  for (let at = pc; addresses.length < most && at <= 0xffff; at += lengthAt(at)) addresses.push(at)
  return addresses.map((address) => {
    const { bytes, text, tStates, tStatesNotTaken } = disassembleAt(read, address, (target, use) =>
      use === 'number' ? null : nameAt(target),
    )
    return { address, bytes, text, tStates, tStatesNotTaken, label: nameAt(address) }
  })
}

function leading(lengthAt: (address: Addr) => Byte, pc: Addr): Addr[] {
  for (let start = Math.max(0, pc - runUp); start < pc; start += 1) {
    const found: Addr[] = []
    let at = start
    while (at < pc) {
      found.push(at)
      at += lengthAt(at)
    }
    if (at === pc) return found
  }
  return []
}
