import type { Addr, Byte } from '../cpu/index.ts'
import { disassembleAt, type DisassembledInstruction } from './instruction-text.ts'

/** Where instructions are in memory, as far as the flow from some entries tells. */
export interface Flow {
  /** The instructions met, by address. None overlaps another. */
  readonly instructions: ReadonlyMap<Addr, DisassembledInstruction>
  /** 1 for each address that an instruction met takes up. */
  readonly isCode: Uint8Array
  /** Addresses gone to, with where from and how. */
  readonly targets: readonly { readonly to: Addr; readonly from: Addr; readonly isCall: boolean }[]
}

/**
 * Follows the flow from `entries` through the cells that are filled. Both ways of a condition are taken, and a call is
 * taken to return. HALT ends a path unless interrupts are enabled somewhere on the way: only then something comes behind it.
 */
export function followFlow(memory: Uint8Array, isFilled: Uint8Array, entries: readonly Addr[]): Flow {
  const quiet = follow(memory, isFilled, entries, false)
  return quiet.enablesInterrupts ? follow(memory, isFilled, entries, true) : quiet
}

function follow(
  memory: Uint8Array,
  isFilled: Uint8Array,
  entries: readonly Addr[],
  goesOnAfterHalt: boolean,
): Flow & { readonly enablesInterrupts: boolean } {
  const instructions = new Map<Addr, DisassembledInstruction>()
  const isCode = new Uint8Array(0x10000)
  const targets: { to: Addr; from: Addr; isCall: boolean }[] = []
  const waiting = [...entries].reverse()
  let enablesInterrupts = false
  const read = (address: Addr): Byte => memory[address & 0xffff] ?? 0
  for (let start = waiting.pop(); start !== undefined; start = waiting.pop()) {
    for (let address = start; canStand(address);) {
      const found = disassembleAt(read, address)
      const end = address + found.bytes.length
      if (end > 0x10000 || !rangeIsFree(address, end)) break
      isCode.fill(1, address, end)
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
  return { instructions, isCode, targets, enablesInterrupts }

  function canStand(address: Addr): boolean {
    return isFilled[address] === 1 && isCode[address] === 0
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
