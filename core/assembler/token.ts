/** One word, number, text or mark of a source line. Lines and columns count from 1. */
export interface Token {
  readonly kind: 'name' | 'number' | 'text' | 'mark'
  /** As written; a mark as one of the spellings of `marks`. */
  readonly text: string
  /** What names are told apart by: capitals, or a name of its own for a LOCAL of one expansion. */
  readonly key: string
  /** Of a name with a dot below a label: the name that it has above all labels, should there be no other. */
  readonly topKey?: string
  /** The value of a number; 0 for the rest. */
  readonly value: number
  readonly line: number
  readonly column: number
  readonly length: number
}

/** A source line cut into tokens. What could not be read is in `faults`; then `tokens` holds what came before and after. */
export interface LexedLine {
  readonly line: number
  readonly source: string
  readonly tokens: readonly Token[]
  readonly faults: readonly Fault[]
  /** What could be read, but was perhaps meant otherwise. */
  readonly doubts: readonly Fault[]
}

/** A mistake in the spelling of one token, or a doubt about it. */
export interface Fault {
  readonly column: number
  readonly length: number
  readonly code: string
  readonly found: string
  readonly allowed: string
  readonly message: string
}

/** Longest line that is read, in characters. */
export const maxLineLength = 1000
