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
      return bounded(expression.value, expression.at, scope, () => asWritten(expression.at))
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
      if (hasNoResult(expression, left, right, scope)) return null
      return bounded(binary(expression.operator, left, right), expression.at, scope, () =>
        exact(expression.operator, left, right),
      )
    }
  }
}

function bounded(value: number, at: Token, scope: Scope, written = () => String(value)): number | null {
  if (value >= least && value <= most) return value
  const found = written()
  const what = at.kind === 'number' ? `${found} is` : `This comes to ${found}, which is`
  scope.note(at, 'number-too-large', found, `${least} to ${most}`, `${what} more than 32 bits hold.`)
  return null
}

const mostDigitsShown = 40

/** A number as written, cut where it would fill the line. */
function asWritten({ text }: Token): string {
  return text.length <= mostDigitsShown ? text : `${text.slice(0, mostDigitsShown)}…`
}

/** A product or a shift to the last digit: past 2^53 a `number` would round it. */
function exact(operator: string, a: number, b: number): string {
  switch (operator) {
    case '*':
      return String(BigInt(a) * BigInt(b))
    case '<<':
    case 'SHL':
      return String(BigInt(a) << BigInt(b))
    default:
      return String(binary(operator, a, b))
  }
}

const mostShift = 31

/** True, with the reason noted, where an operator cannot work with what stands on its right. */
function hasNoResult(
  { operator, right: { at }, at: operatorAt }: Extract<Expression, { kind: 'binary' }>,
  a: number,
  b: number,
  scope: Scope,
): boolean {
  const what = `${a} ${operator} ${b}`
  switch (operator) {
    case '/':
    case '%':
    case 'MOD':
      if (b === 0)
        scope.note(operatorAt, 'division-by-zero', what, 'a divisor other than 0', 'A division by 0 has no result.')
      return b === 0
    case '<<':
    case 'SHL':
    case '>>':
    case 'SHR':
      if (b >= 0 && b <= mostShift) return false
      scope.note(
        at,
        'shift-out-of-range',
        what,
        `a shift by 0 to ${mostShift}`,
        `${operator} ${b} cannot be done: a value has 32 bits, so a shift goes by 0 to ${mostShift} places.${
          b < 0 && b >= -mostShift ? ` For the other direction write ${otherShift[operator]} ${-b}.` : ''
        }`,
      )
      return true
    default:
      return false
  }
}

const otherShift: Readonly<Record<string, string>> = { '<<': '>>', '>>': '<<', SHL: 'SHR', SHR: 'SHL' }

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

/** What `hasNoResult` refuses is never asked for. */
function binary(operator: string, a: number, b: number): number {
  switch (operator) {
    case '*':
      return a * b
    case '/':
      return Math.trunc(a / b) + 0
    case '%':
    case 'MOD':
      return (a % b) + 0
    case '+':
      return a + b
    case '-':
      return a - b
    case '<<':
    case 'SHL':
      return a * 2 ** b
    case '>>':
    case 'SHR':
      return Math.floor(a / 2 ** b)
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
