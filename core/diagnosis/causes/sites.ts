import { decode, type Addr, type Byte } from '../../cpu/index.ts'
import { disassembleAt } from '../../disassembler/index.ts'
import { imageSize } from '../../image/index.ts'
import type { Scene } from './scene.ts'

/** An instruction of the hand-in where it stands, with its operand. */
export interface Site {
  readonly address: Addr
  readonly bytes: readonly Byte[]
  /** With operands filled in: `LD B,08H`. */
  readonly text: string
  /** With its placeholder: `LD B,n`. */
  readonly form: string
  readonly operand: 'n' | 'nn' | 'e' | null
  /** Address of the operand's (low) byte; of the opcode where there is none. */
  readonly at: Addr
  readonly value: number
  /** The operand is a name of the student's own text. */
  readonly isNamed: boolean
}

/**
 * Every instruction: those of the text or the disassembly, and what was executed elsewhere. A stretch of bytes of which
 * nothing was executed is read from its start on, unless it stands behind the program as data do.
 */
export function sitesOf(scene: Scene): readonly Site[] {
  const { program, draft } = scene
  const read = (address: Addr): Byte => draft.byte(address)
  const starts = new Set<Addr>(draft.lines.map(({ address }) => address))
  const isFree = (address: Addr): boolean => {
    const line = draft.around(address)
    return line === null || address >= line.address + decode(read, line.address).bytes.length
  }
  for (const { pc } of scene.main.own) if (scene.isInside(pc) && isFree(pc)) starts.add(pc)
  for (const { start, bytes } of program.image.segments) {
    const isTouched = [...starts].some((address) => address >= start && address < start + bytes.length)
    if (isTouched || imageSize(program.image) > 256) continue
    for (let at = start; at < start + bytes.length; at += decode(read, at).bytes.length) starts.add(at)
  }
  return [...starts]
    .filter((address) => scene.isInside(address))
    .sort((a, b) => a - b)
    .map((address) => siteAt(scene, read, address))
}

function siteAt(scene: Scene, read: (address: Addr) => Byte, address: Addr): Site {
  const { instruction, bytes, text } = disassembleAt(read, address)
  const { encoding } = instruction
  const common = { address, bytes, text, form: instruction.text }
  const line = scene.draft.at(address)
  const isNamed = scene.isAssembly && (line?.plain.some((operand) => /^\(?[A-Z_][A-Z0-9_]{2,}/.test(operand)) ?? false)
  const n = encoding.indexOf('n')
  const low = encoding.indexOf('nl')
  const e = encoding.indexOf('e')
  if (n >= 0) return { ...common, operand: 'n', at: address + n, value: bytes[n] ?? 0, isNamed }
  if (e >= 0) return { ...common, operand: 'e', at: address + e, value: bytes[e] ?? 0, isNamed }
  if (low >= 0) {
    const value = (bytes[low] ?? 0) | ((bytes[low + 1] ?? 0) << 8)
    return { ...common, operand: 'nn', at: address + low, value, isNamed }
  }
  return { ...common, operand: null, at: address, value: 0, isNamed: false }
}
