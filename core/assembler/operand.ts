import { isFault, parseExpression, type Expression, type ExpressionFault, type Faulty } from './expression.ts'
import { formIndex } from './forms.ts'
import { otherRegisters } from './spellings.ts'
import type { Token } from './token.ts'

/** An operand of an instruction. `keys` are what the form index may know it by, the likeliest first. */
export interface Operand {
  /** First and last token, for the place of a problem. */
  readonly from: Token
  readonly to: Token
  readonly keys: readonly string[]
  /** The number in it: an immediate value, an address, a displacement; null for registers. */
  readonly value: Expression | null
}

/** A run of tokens that is an operand, or why it is none. It must not be empty. */
export function parseOperand(tokens: readonly Token[]): Operand | Faulty {
  const [from] = tokens
  const to = tokens.at(-1)
  if (from === undefined || to === undefined) throw new Error('An operand has at least one token')
  if (tokens.length === 1) {
    const register = registerOf(from)
    if (register !== null) return { from, to, keys: [register], value: null }
  }
  if (!isBracketed(tokens)) {
    const value = parseExpression(tokens)
    return isFault(value) ? value : { from, to, keys: ['#'], value }
  }
  const inner = tokens.slice(1, -1)
  const only = inner.length === 1 ? inner[0] : undefined
  const register = only === undefined ? null : registerOf(only)
  if (register !== null) {
    const isIndex = register === 'IX' || register === 'IY'
    return { from, to, keys: isIndex ? [`(${register})`, `(${register}+d)`] : [`(${register})`], value: null }
  }
  const at = indexRegisterAt(inner)
  if (at >= 0) return indexed(inner, at, from, to)
  const value = parseExpression(inner)
  return isFault(value) ? value : { from, to, keys: ['(#)'], value }
}

/** `(IX-5+1)`, `(5+IX)`: the displacement is all but the register. */
function indexed(inner: readonly Token[], at: number, from: Token, to: Token): Operand | Faulty {
  const register = inner[at]
  const before = inner.slice(0, at)
  const after = inner.slice(at + 1)
  const sign = after[0]
  if (register === undefined) throw new Error('No register there')
  if (before.length > 0 && before.pop()?.text !== '+') return { fault: onlySums(register) }
  if (sign !== undefined && sign.text !== '+' && sign.text !== '-') return { fault: onlySums(register) }
  // A sign in front of the rest makes it an expression of its own; a + behind a sum is dropped.
  const value = parseExpression([...before, ...(before.length === 0 && sign?.text === '+' ? after.slice(1) : after)])
  return isFault(value) ? value : { from, to, keys: [`(${register.key}+d)`], value }
}

function onlySums(register: Token): ExpressionFault {
  return {
    at: register,
    code: 'bad-displacement',
    found: register.text,
    allowed: `(${register.key}+d) or (${register.key}-d)`,
    message: `With ${register.key} a displacement is added or taken away, as in (${register.key}+5) or (${register.key}-2).`,
  }
}

/** The register or condition a word names, in the manual's spelling, or null. */
export function registerOf(token: Token): string | null {
  if (token.kind !== 'name') return null
  if (formIndex().operandWords.has(token.key)) return token.key
  return otherRegisters.get(token.key) ?? null
}

/** True when the first bracket is closed by the last token, so that all between stands in it. */
function isBracketed(tokens: readonly Token[]): boolean {
  const open = tokens[0]?.text
  if (tokens[0]?.kind !== 'mark' || (open !== '(' && open !== '[') || tokens.length < 3) return false
  let depth = 0
  for (const [i, token] of tokens.entries()) {
    if (token.kind !== 'mark') continue
    if (token.text === '(' || token.text === '[') depth += 1
    if (token.text === ')' || token.text === ']') depth -= 1
    if (depth === 0) return i === tokens.length - 1
  }
  return false
}

/** Where IX or IY stands outside inner brackets, or -1. */
function indexRegisterAt(tokens: readonly Token[]): number {
  let depth = 0
  return tokens.findIndex((token) => {
    if (token.text === '(' || token.text === '[') depth += 1
    if (token.text === ')' || token.text === ']') depth -= 1
    return depth === 0 && token.kind === 'name' && (token.key === 'IX' || token.key === 'IY')
  })
}
