import { sourceParts, type Program } from '../assembler/index.ts'
import type { Addr, Byte, Instruction } from '../cpu/index.ts'
import { disassembleAt, type DisassembledInstruction } from '../disassembler/index.ts'
import { byteAt } from '../image/index.ts'

/** One instruction or stretch of data of a program, by address. */
export interface ProgramRow {
  readonly kind: 'instruction' | 'data'
  readonly address: Addr
  readonly bytes: readonly Byte[]
  readonly label: string | null
  /** Instruction or directive in the writer's words. */
  readonly text: string
  readonly comment: string | null
  readonly tStates: number | null
  readonly tStatesNotTaken: number | null
  /** What stands there as an instruction; null for data. */
  readonly decoded: DisassembledInstruction | null
}

/** What a program puts into memory, in the order of addresses. */
export function programRows({ listing, image }: Program): readonly ProgramRow[] {
  return listing
    .flatMap((line): ProgramRow[] => {
      const { kind, address, bytes, label, source, tStates, tStatesNotTaken } = line
      if (kind === 'other' || address === null || bytes.length === 0) return []
      const { body, comment } = sourceParts(source)
      const decoded = kind === 'instruction' ? disassembleAt((at) => byteAt(image, at) ?? 0, address) : null
      return [{ kind, address, bytes, label, text: body ?? '', comment, tStates, tStatesNotTaken, decoded }]
    })
    .sort((a, b) => a.address - b.address)
}

/** T-states as a sheet shows them: `7`, or `13/8` when they depend on a condition. */
export function shownTStates(row: Pick<ProgramRow, 'tStates' | 'tStatesNotTaken'>): string {
  if (row.tStates === null) return ''
  return row.tStatesNotTaken === null ? String(row.tStates) : `${row.tStates}/${row.tStatesNotTaken}`
}

/** The encoding of an instruction with its operand bytes by name: `DD 7E d`. */
export function shownEncoding({ encoding }: Instruction): string {
  return encoding
    .map((byte) => (typeof byte === 'number' ? byte.toString(16).toUpperCase().padStart(2, '0') : byte))
    .join(' ')
}
