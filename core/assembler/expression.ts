import { operatorWords, ownStrength, type Strength } from './operators.ts'
import type { Token } from './token.ts'

/** An expression as parsed; every part knows its token, so that a problem can point at it. */
export type Expression =
  | { readonly kind: 'number'; readonly value: number; readonly at: Token }
  | { readonly kind: 'here'; readonly at: Token }
  | { readonly kind: 'name'; readonly at: Token }
  | { readonly kind: 'unary'; readonly operator: string; readonly of: Expression; readonly at: Token }
  | {
      readonly kind: 'binary'
      readonly operator: string
      readonly left: Expression
      readonly right: Expression
      readonly at: Token
    }

/** Why a run of tokens is no expression. `at` is null when it ends too early. */
export interface ExpressionFault {
  readonly at: Token | null
  readonly code: string
  readonly found: string
  readonly allowed: string
  readonly message: string
}

/** In place of an expression or an operand: why there is none. */
export interface Faulty {
  readonly fault: ExpressionFault
}

/** Most values and operators in one expression, and most brackets and signs inside each other. */
const maxNodes = 500
const maxDepth = 60

/** Parses all of `tokens`. Either an expression, or why it is none. `strength` says how tightly operators bind. */
export function parseExpression(tokens: readonly Token[], strength: Strength = ownStrength): Expression | Faulty {
  const parser = new Parser(tokens, strength)
  const expression = parser.whole()
  return parser.fault === null ? expression : { fault: parser.fault }
}

/** True for a result that is a fault. */
export function isFault(result: object): result is Faulty {
  return 'fault' in result
}

const nowhere: Token = { kind: 'number', text: '', key: '', value: 0, line: 1, column: 1, length: 1 }
const noValue: Expression = { kind: 'number', value: 0, at: nowhere }

/** Strengths are no closer than this. */
const smallest = 0.1

/** The first fault ends the parse: it moves behind the last token, and whatever was open comes back with no value. */
class Parser {
  fault: ExpressionFault | null = null
  readonly #tokens: readonly Token[]
  readonly #strength: Strength
  #next = 0
  #nodes = 0
  #depth = 0

  constructor(tokens: readonly Token[], strength: Strength) {
    this.#tokens = tokens
    this.#strength = strength
  }

  whole(): Expression {
    const result = this.#binary(0)
    const extra = this.#tokens[this.#next]
    if (extra === undefined) return result
    const isBracket = extra.text === ')' || extra.text === ']'
    return this.#fail(
      extra,
      'bad-expression',
      'an operator such as + or -',
      isBracket
        ? `There is a '${extra.text}' too many here.`
        : `'${shown(extra)}' cannot follow a finished value. An operator such as + is missing before it, or it is too much.`,
    )
  }

  #binary(least: number): Expression {
    let left = this.#unary()
    for (;;) {
      const token = this.#tokens[this.#next]
      const strength = token === undefined || token.kind === 'text' ? undefined : this.#strength.binary[token.key]
      if (token === undefined || strength === undefined || strength < least) return left
      this.#next += 1
      left = this.#count({
        kind: 'binary',
        operator: token.key,
        left,
        right: this.#binary(strength + smallest),
        at: token,
      })
    }
  }

  #unary(): Expression {
    const token = this.#tokens[this.#next]
    const strength = token === undefined || token.kind === 'text' ? undefined : this.#strength.unary[token.key]
    if (token === undefined || strength === undefined) return this.#value()
    this.#next += 1
    if (this.#depth >= maxDepth) return this.#failDepth(token)
    this.#depth += 1
    const of = this.#binary(strength)
    this.#depth -= 1
    return this.#count({ kind: 'unary', operator: token.key, of, at: token })
  }

  #value(): Expression {
    const token = this.#tokens[this.#next]
    if (token === undefined)
      return this.#fail(null, 'missing-value', 'a number or a name', 'A number or a name is missing here.')
    this.#next += 1
    if (token.kind === 'number') return this.#count({ kind: 'number', value: token.value, at: token })
    if (token.kind === 'text') return this.#character(token)
    if (token.kind === 'name' && !operatorWords.has(token.key)) return this.#count({ kind: 'name', at: token })
    if (token.text === '$') return this.#count({ kind: 'here', at: token })
    if (token.text === '(' || token.text === '[') return this.#bracket(token)
    return this.#fail(
      token,
      'bad-expression',
      'a number or a name',
      `A number or a name must stand here, but '${shown(token)}' does.`,
    )
  }

  #bracket(open: Token): Expression {
    if (this.#depth >= maxDepth) return this.#failDepth(open)
    this.#depth += 1
    const inner = this.#binary(0)
    this.#depth -= 1
    const close = open.text === '(' ? ')' : ']'
    if (this.#tokens[this.#next]?.text === close) {
      this.#next += 1
      return inner
    }
    const message = `The bracket '${open.text}' is not closed: a '${close}' is missing.`
    return this.#fail(open, 'open-bracket', `a '${close}'`, message)
  }

  #character(token: Token): Expression {
    const code = token.text.codePointAt(0)
    if (code === undefined || token.text.length !== String.fromCodePoint(code).length)
      return this.#fail(
        token,
        'not-one-character',
        'one character',
        `A text can stand for a number only if it is one character, as in 'Z'; this one has ${token.text.length}.`,
      )
    if (code <= 0x7f) return this.#count({ kind: 'number', value: code, at: token })
    const message = `'${token.text}' is no character of ASCII, so it has no value of one byte.`
    return this.#fail(token, 'not-ascii', 'a character of ASCII', message)
  }

  #count(expression: Expression): Expression {
    this.#nodes += 1
    if (this.#nodes <= maxNodes) return expression
    const message = `An expression may have up to ${maxNodes} values and operators; this one has more.`
    return this.#fail(expression.at, 'expression-too-long', `up to ${maxNodes} parts`, message)
  }

  #failDepth(at: Token): Expression {
    const message = 'Too many brackets or signs inside each other here.'
    return this.#fail(at, 'expression-too-deep', `up to ${maxDepth} inside each other`, message)
  }

  #fail(at: Token | null, code: string, allowed: string, message: string): Expression {
    this.fault ??= { at, code, found: at === null ? 'nothing' : shown(at), allowed, message }
    this.#next = this.#tokens.length
    return noValue
  }
}

function shown(token: Token): string {
  return token.kind === 'text' ? `"${token.text}"` : token.text
}
