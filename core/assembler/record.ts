import type { Addr } from '../cpu/index.ts'
import type { Expression } from './expression.ts'
import type { Match } from './match-form.ts'
import type { SourceLine } from './line-reader.ts'
import type { Definition } from './symbols.ts'
import type { Token } from './token.ts'

/** One value of DB or DW, or a text of DB. */
export type DataItem =
  | { readonly kind: 'value'; readonly expression: Expression; readonly at: Token }
  | { readonly kind: 'text'; readonly bytes: readonly number[]; readonly at: Token }

/** What is left to do for a line once all addresses are known. */
export type Work =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'instruction'; readonly match: Match; readonly texts: readonly string[]; readonly at: Token }
  | { readonly kind: 'data'; readonly unit: 1 | 2; readonly items: readonly DataItem[]; readonly at: Token }
  | { readonly kind: 'fill'; readonly count: number; readonly value: Expression | null; readonly at: Token }
  | { readonly kind: 'variable'; readonly definition: Definition; readonly expression: Expression }
  | { readonly kind: 'end'; readonly expression: Expression }

/** A line with its place in memory, as the first pass leaves it for the second. */
export interface AssembledLine {
  readonly line: SourceLine
  /** Where its bytes begin; null where the line stands for no place. May lie above FFFFh, which the loader refuses. */
  readonly address: Addr | null
  readonly label: string | null
  readonly work: Work
}

/** How many bytes a line makes. */
export function sizeOf(work: Work): number {
  switch (work.kind) {
    case 'instruction':
      return work.match.form.instruction.encoding.length
    case 'data':
      return work.items.reduce((sum, item) => sum + (item.kind === 'text' ? item.bytes.length : work.unit), 0)
    case 'fill':
      return work.count
    default:
      return 0
  }
}
