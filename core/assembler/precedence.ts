import { isFault, parseExpression, type Expression } from './expression.ts'
import { comparisonWords, ownStrength, type Strength } from './operators.ts'
import type { Token } from './token.ts'

/** An expression that other assemblers may read otherwise. */
export interface OtherReading {
  readonly at: Token
  /** The part in question with the brackets that we put, and that others put. */
  readonly ours: string
  readonly theirs: string
  /** The same for each mixture of the same operators. */
  readonly kind: string
}

/**
 * What other assemblers may read otherwise in an expression, or null: it is read once more with each of their tables, and the
 * readings are compared. Brackets leave nothing to differ about.
 */
export function otherReading(tokens: readonly Token[]): OtherReading | null {
  const operators = tokens.filter((token) => token.kind !== 'text' && isOperator(token.key))
  if (operators.length < 2 || operators.every(({ key }) => agreed.has(key))) return null
  const ours = parseExpression(tokens)
  if (isFault(ours)) return null
  for (const table of otherTables) {
    const theirs = parseExpression(tokens, table.strength)
    if (isFault(theirs)) continue
    const difference = firstDifference(ours, theirs)
    if (difference === null || (table.isSettledByTruth && isTruth(difference.ours))) continue
    return {
      at: difference.ours.at,
      ours: withBrackets(difference.ours),
      theirs: withBrackets(difference.theirs),
      kind: [operatorsAtTop(difference.ours), operatorsAtTop(difference.theirs)].join(' / '),
    }
  }
  return null
}

/** Among these alone all read the same. */
const agreed: ReadonlySet<string> = new Set(['+', '-', '*', '/', '%', 'MOD', '~', '!'])

const isOperator = (key: string): boolean =>
  ownStrength.binary[key] !== undefined || ownStrength.unary[key] !== undefined

/** Our own table with some operators moved. */
function moved(binary: Strength['binary'], unary: Strength['unary'] = {}): Strength {
  return { binary: { ...ownStrength.binary, ...binary }, unary: { ...ownStrength.unary, ...unary } }
}

const all = (words: readonly string[], strength: number): Record<string, number> =>
  Object.fromEntries(words.map((word) => [word, strength]))

const { '*': product = 0, '&': and = 0, '=': equal = 0, '+': sum = 0, '<': less = 0 } = ownStrength.binary
const oneComparison = all(comparisonWords, equal)
const likeProducts = all(['<<', '>>', 'SHL', 'SHR'], product)
const orAndXor = all(['XOR', 'OR'], and - 1)

// Three ways that are common. From memory, common practice: in the older ones a shift is as strong as a product, NOT is
// weaker than a comparison, and HIGH and LOW are either as strong as here or the weakest of all. In the third, as in the
// "Infix Ops" of the GNU assembler's manual, AND, OR and XOR are stronger than comparisons.
const otherTables: readonly { readonly strength: Strength; readonly isSettledByTruth: boolean }[] = [
  {
    strength: moved({ ...oneComparison, ...likeProducts, ...orAndXor }, { NOT: equal - 0.5, HIGH: 0.5, LOW: 0.5 }),
    isSettledByTruth: false,
  },
  {
    strength: moved({ ...oneComparison, ...likeProducts, ...orAndXor }, { NOT: equal - 0.5 }),
    isSettledByTruth: false,
  },
  {
    strength: moved(all(['&', 'AND', '|', 'OR', '^', 'XOR'], (less + sum) / 2)),
    // A = 1 AND B = 2 can mean one thing only.
    isSettledByTruth: true,
  },
]

function firstDifference(ours: Expression, theirs: Expression): { ours: Expression; theirs: Expression } | null {
  const inner = partsOf(ours)
  const others = partsOf(theirs)
  if (ours.kind !== theirs.kind || ours.at !== theirs.at || inner.length !== others.length) return { ours, theirs }
  const found = inner.flatMap((part, i) => {
    const other = others[i]
    const difference = other === undefined ? null : firstDifference(part, other)
    return difference === null ? [] : [difference]
  })
  // Parts that took tokens from each other differ as a whole.
  return found.length > 1 ? { ours, theirs } : (found[0] ?? null)
}

function partsOf(expression: Expression): readonly Expression[] {
  if (expression.kind === 'binary') return [expression.left, expression.right]
  return expression.kind === 'unary' ? [expression.of] : []
}

/** True for a comparison, and for what puts nothing but such together. */
function isTruth(expression: Expression): boolean {
  if (expression.kind === 'unary') return ['!', 'NOT'].includes(expression.operator)
  if (expression.kind !== 'binary') return false
  if (comparisonWords.includes(expression.operator) || ['&&', '||'].includes(expression.operator)) return true
  return ['&', 'AND', '|', 'OR', '^', 'XOR'].includes(expression.operator) && partsOf(expression).every(isTruth)
}

function operatorsAtTop(expression: Expression): string {
  const operatorOf = (each: Expression): string => ('operator' in each ? each.operator : '.')
  return [expression, ...partsOf(expression)].map(operatorOf).join(' ')
}

/** An expression with brackets round each part that has an operator. */
function withBrackets(expression: Expression): string {
  const inner = (part: Expression): string =>
    partsOf(part).length > 0 ? `(${withBrackets(part)})` : withBrackets(part)
  switch (expression.kind) {
    case 'unary': {
      const isWord = /^[A-Z]/.test(expression.operator)
      return `${expression.at.text}${isWord ? ' ' : ''}${inner(expression.of)}`
    }
    case 'binary':
      return `${inner(expression.left)} ${expression.at.text} ${inner(expression.right)}`
    default:
      return expression.at.kind === 'text' ? `'${expression.at.text}'` : expression.at.text
  }
}
