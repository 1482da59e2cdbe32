import type { Expression } from './expression.ts'
import type { Token } from './token.ts'

/** What an expression may ask while it is worked out. */
export interface Scope {
  /** The value of `$`. */
  readonly here: number
  /** The value of a name, or null when it has none; the scope notes the problem itself. */
  valueOf(name: Token): number | null
  note(at: Token, code: string, found: string, allowed: string, message: string): void
}

const least = -0x80000000
const most = 0xffffffff

/** The value of an expression, a whole number from -2^31 to 2^32-1, or null once a problem was noted. True is -1. */
export function evaluate(expression: Expression, scope: Scope): number | null {
  switch (expression.kind) {
    case 'number':
      return bounded(expression.value, expression.at, scope)
    case 'here':
      return scope.here
    case 'name':
      return scope.valueOf(expression.at)
    case 'unary': {
      const value = evaluate(expression.of, scope)
      return value === null ? null : bounded(unary(expression.operator, value), expression.at, scope)
    }
    case 'binary': {
      // Both sides first: what is wrong on the right is told even when the left has no value.
      const left = evaluate(expression.left, scope)
      const right = evaluate(expression.right, scope)
      if (left === null || right === null) return null
      const result = binary(expression.operator, left, right)
      if (result !== null) return bounded(result, expression.at, scope)
      const what = `${left} ${expression.operator} 0`
      scope.note(expression.at, 'division-by-zero', what, 'a divisor other than 0', 'A division by 0 has no result.')
      return null
    }
  }
}

function bounded(value: number, at: Token, scope: Scope): number | null {
  if (value >= least && value <= most) return value
  scope.note(
    at,
    'number-too-large',
    String(value),
    `${least} to ${most}`,
    `This comes to ${value}, which is more than 32 bits hold.`,
  )
  return null
}

function unary(operator: string, value: number): number {
  switch (operator) {
    case '-':
      return value === 0 ? 0 : -value
    case '~':
    case 'NOT':
      return ~value
    case '!':
      return truth(value === 0)
    case 'HIGH':
      return (value >> 8) & 0xff
    case 'LOW':
      return value & 0xff
    default:
      return value
  }
}

/** Null for a division by zero. */
function binary(operator: string, a: number, b: number): number | null {
  switch (operator) {
    case '*':
      return a * b
    case '/':
      return b === 0 ? null : Math.trunc(a / b) + 0
    case '%':
    case 'MOD':
      return b === 0 ? null : (a % b) + 0
    case '+':
      return a + b
    case '-':
      return a - b
    case '<<':
    case 'SHL':
      return b < 0 || b > 31 ? 0 : a * 2 ** b
    case '>>':
    case 'SHR':
      return b < 0 || b > 31 ? 0 : Math.floor(a / 2 ** b)
    case '<':
    case 'LT':
      return truth(a < b)
    case '<=':
    case 'LE':
      return truth(a <= b)
    case '>':
    case 'GT':
      return truth(a > b)
    case '>=':
    case 'GE':
      return truth(a >= b)
    case '=':
    case '==':
    case 'EQ':
      return truth(a === b)
    case '<>':
    case '!=':
    case 'NE':
      return truth(a !== b)
    case '&':
    case 'AND':
      return a & b
    case '^':
    case 'XOR':
      return a ^ b
    case '|':
    case 'OR':
      return a | b
    case '&&':
      return truth(a !== 0 && b !== 0)
    case '||':
      return truth(a !== 0 || b !== 0)
    default:
      throw new Error(`No such operator: ${operator}`)
  }
}

/** All bits set, so that NOT, AND and OR work on truth as they do on bits. */
function truth(isTrue: boolean): number {
  return isTrue ? -1 : 0
}
