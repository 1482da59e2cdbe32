/** One strength of operators: those in it are worked out from left to right. */
export interface OperatorRow {
  readonly operators: readonly string[]
  /** What they do, in the order of `operators`, for the page. */
  readonly does: string
}

/** Operators between two values, the tightest first, as in C; the words mean the same as the marks beside them. */
export const binaryOperators: readonly OperatorRow[] = [
  { operators: ['*', '/', '%', 'MOD'], does: 'product, quotient without its rest, the rest (`%`, `MOD`)' },
  { operators: ['+', '-'], does: 'sum, difference' },
  { operators: ['<<', 'SHL', '>>', 'SHR'], does: 'shift left, shift right, by 0 to 31 places' },
  { operators: ['<', 'LT', '<=', 'LE', '>', 'GT', '>=', 'GE'], does: 'less, not more, more, not less' },
  { operators: ['=', '==', 'EQ', '<>', '!=', 'NE'], does: 'equal, not equal' },
  { operators: ['&', 'AND'], does: 'and, bit by bit' },
  { operators: ['^', 'XOR'], does: 'exclusive or, bit by bit' },
  { operators: ['|', 'OR'], does: 'or, bit by bit' },
  { operators: ['&&'], does: 'both are not 0' },
  { operators: ['||'], does: 'one of them is not 0' },
]

/** Operators before a value. They bind tighter than all others. */
export const unaryOperators: readonly OperatorRow[] = [
  { operators: ['+', '-'], does: 'the value, its negative' },
  { operators: ['~', 'NOT'], does: 'each bit the other way' },
  { operators: ['!'], does: 'true for 0' },
  { operators: ['HIGH', 'LOW'], does: 'the high byte of a word, its low byte' },
]

/** How tightly operators bind; more is tighter. */
export interface Strength {
  readonly binary: Readonly<Record<string, number>>
  readonly unary: Readonly<Record<string, number>>
}

const rows = binaryOperators.length

export const ownStrength: Strength = {
  binary: Object.fromEntries(
    binaryOperators.flatMap(({ operators }, i) => operators.map((operator) => [operator, rows - i] as const)),
  ),
  unary: Object.fromEntries(
    unaryOperators.flatMap(({ operators }) => operators.map((operator) => [operator, rows + 1] as const)),
  ),
}

/** Every way to compare two values. */
export const comparisonWords: readonly string[] = binaryOperators
  .filter(({ operators }) => operators.includes('<') || operators.includes('='))
  .flatMap(({ operators }) => operators)

/** Words that are operators and therefore no names for labels. */
export const operatorWords: ReadonlySet<string> = new Set(
  [...binaryOperators, ...unaryOperators].flatMap(({ operators }) => operators).filter((word) => /^[A-Z]+$/.test(word)),
)
