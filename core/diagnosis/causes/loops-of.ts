import type { DraftLine } from './draft.ts'
import type { Scene } from './scene.ts'

/** A conditional jump back, its first instruction, and the register or pair that decides. */
export interface Loop {
  readonly start: DraftLine
  readonly end: DraftLine
  readonly counter: string
}

/** The loops of a text: jumps back to a label or by a displacement. */
export function loopsOf({ draft }: Scene): readonly Loop[] {
  return draft.lines.flatMap((end): readonly Loop[] => {
    if (!/^(JR|JP|DJNZ)$/.test(end.mnemonic)) return []
    const isCounted = end.mnemonic === 'DJNZ' || /^(NZ|Z|NC|C|P|M)$/.test(end.plain[0] ?? '')
    const target = targetOf(
      draft.byte(end.address),
      draft.byte(end.address + 1),
      draft.byte(end.address + 2),
      end.address,
    )
    const start = draft.lines.find(({ address }) => address === target)
    if (start === undefined || start.index > end.index) return []
    const body = draft.lines.slice(start.index, end.index)
    const count = body.findLast(({ mnemonic }) => /^(DEC|INC)$/.test(mnemonic))
    const counter = end.mnemonic === 'DJNZ' ? 'B' : isCounted ? (count?.plain[0] ?? '') : ''
    return [{ start, end, counter }]
  })
}

function targetOf(opcode: number, first: number, second: number, address: number): number {
  const isRelative = opcode === 0x10 || opcode === 0x18 || (opcode & 0xe7) === 0x20
  return isRelative ? (address + 2 + ((first ^ 0x80) - 0x80)) & 0xffff : first | (second << 8)
}
