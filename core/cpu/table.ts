import { arithmetic } from './table-arithmetic.ts'
import { bits } from './table-bits.ts'
import { blocks } from './table-blocks.ts'
import { control } from './table-control.ts'
import { loads } from './table-loads.ts'
import { ports } from './table-ports.ts'
import { undocumented } from './table-undocumented.ts'

/**
 * One line of the instruction table: how it is written, its bytes, the T-states of its machine cycles, what it does.
 * `alias` marks an encoding that no assembler emits, because a shorter or plainer one does the same.
 *
 * - Written: as in the manual. `n` is a byte, `nn` a word, `d` a displacement, `e` a jump distance. Every line with IX
 *   stands for the same line with IY too, whose first byte is FD instead of DD.
 * - Bytes: two hexadecimal digits, or eight binary ones in which a run of letters is a field: `10001sss` is 88 to 8F.
 *   The fields are in `fields.ts`. `n`, `nl nh` (low byte first), `d`, `e` are the operand bytes.
 * - Machine cycles: in their order. Behind a `/` stand those of the case in which the condition after `when` fails.
 * - What it does: in the small language of `effect.ts`. Registers are capitals; `CF ZF SF PF HF NF` are flags; PC stands
 *   behind the instruction. `read` and `write` are memory, `input` and `output` are ports, `idle` is a machine cycle in
 *   which the bus rests; they stand in the order in which the machine cycles come, after the bytes of the instruction.
 *   All other names in small letters are the rules of `rules.ts`, where the flags are.
 */
export type Row =
  | readonly [text: string, bytes: string, cycles: string, effect: string]
  | readonly [text: string, bytes: string, cycles: string, effect: string, isAlias: 'alias']

/** The documented instructions, by theme in the manual's order. */
export const documentedRows: readonly Row[] = [...loads, ...arithmetic, ...bits, ...control, ...ports, ...blocks]

/** What the silicon does beside them. Prefixes without effect and unused ED codes have no line: `instruction-set.ts`. */
export const undocumentedRows: readonly Row[] = undocumented
