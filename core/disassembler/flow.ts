import type { Addr, Byte } from '../cpu/index.ts'
import { disassembleAt, type DisassembledInstruction } from './instruction-text.ts'

/** The bytes to look at: what an image fills. */
export interface FilledMemory {
  /** The byte at an address, 0 where there is none. */
  byteAt(address: Addr): Byte
  isFilled(address: Addr): boolean
}

/** Where instructions are in memory, as far as the flow from some entries tells. */
export interface Flow {
  /** The instructions met, by address. None overlaps another. */
  readonly instructions: ReadonlyMap<Addr, DisassembledInstruction>
  /** True for each address that an instruction met takes up. */
  isCode(address: Addr): boolean
  /** Addresses gone to, with where from and how. */
  readonly targets: readonly { readonly to: Addr; readonly from: Addr; readonly isCall: boolean }[]
}

/**
 * Follows the flow from `entries` through the cells that are filled. Both ways of a condition are taken, and a call is
 * taken to return. HALT ends a path unless interrupts are enabled somewhere on the way: only then something comes behind it.
 */
export function followFlow(memory: FilledMemory, entries: readonly Addr[]): Flow {
  const quiet = follow(memory, entries, false)
  return quiet.enablesInterrupts ? follow(memory, entries, true) : quiet
}

function follow(
  memory: FilledMemory,
  entries: readonly Addr[],
  goesOnAfterHalt: boolean,
): Flow & { readonly enablesInterrupts: boolean } {
  const instructions = new Map<Addr, DisassembledInstruction>()
  const taken = new Set<Addr>()
  const targets: { to: Addr; from: Addr; isCall: boolean }[] = []
  const waiting = [...entries].reverse()
  let enablesInterrupts = false
  const read = (address: Addr): Byte => memory.byteAt(address)
  for (let start = waiting.pop(); start !== undefined; start = waiting.pop()) {
    for (let address = start; canStand(address);) {
      const found = disassembleAt(read, address)
      const end = address + found.bytes.length
      if (end > 0x10000 || !rangeIsFree(address, end)) break
      for (let cell = address; cell < end; cell += 1) taken.add(cell)
      instructions.set(address, found)
      const { mnemonic, isConditional } = partsOf(found)
      if (mnemonic === 'EI') enablesInterrupts = true
      if (found.refersTo?.use === 'code') {
        targets.push({ to: found.refersTo.address, from: address, isCall: mnemonic === 'CALL' })
        waiting.push(found.refersTo.address)
      }
      if (endsPath(mnemonic, isConditional, goesOnAfterHalt)) break
      address = end
    }
  }
  return { instructions, isCode: (address) => taken.has(address), targets, enablesInterrupts }

  function canStand(address: Addr): boolean {
    return memory.isFilled(address) && !taken.has(address)
  }

  function rangeIsFree(from: Addr, to: Addr): boolean {
    for (let address = from; address < to; address += 1) if (!canStand(address)) return false
    return true
  }
}

function partsOf({ instruction }: DisassembledInstruction): { mnemonic: string; isConditional: boolean } {
  const [mnemonic = '', operands = ''] = instruction.text.split(' ')
  const isConditional = mnemonic === 'DJNZ' || (mnemonic === 'RET' ? operands !== '' : operands.includes(','))
  return { mnemonic, isConditional }
}

function endsPath(mnemonic: string, isConditional: boolean, goesOnAfterHalt: boolean): boolean {
  switch (mnemonic) {
    case 'JP':
    case 'JR':
    case 'RET':
      return !isConditional
    case 'RETI':
    case 'RETN':
      return true
    case 'HALT':
      return !goesOnAfterHalt
    default:
      return false
  }
}
