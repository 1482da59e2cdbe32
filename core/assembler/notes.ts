import type { Place, ProblemList, ProblemText } from '../image/index.ts'
import type { Scope } from './evaluate.ts'
import type { ExpressionFault } from './expression.ts'
import { formIndex } from './forms.ts'
import type { Call } from './line-reader.ts'
import { nearestWord } from './nearest.ts'
import { registerOf } from './operand.ts'
import type { SymbolTable } from './symbols.ts'
import type { LexedLine, Token } from './token.ts'

/** Names that are searched for a likely slip; above, the search would cost more than it helps. */
const maxNamesSearched = 2000
/** Slips searched for in one text. */
const maxSearches = 50

/** Notes problems at tokens. In a macro it says from where it was called; the same problem at one place is told once. */
export class Notes {
  readonly #problems: ProblemList
  readonly #symbols: SymbolTable
  readonly #told = new Set<string>()
  #searches = 0
  /** The macro or REPT that the line at work came from. */
  call: Call | null = null

  constructor(problems: ProblemList, symbols: SymbolTable) {
    this.#problems = problems
    this.#symbols = symbols
  }

  error(at: Place, text: ProblemText): void {
    this.#add('error', at, text)
  }

  warning(at: Place, text: ProblemText): void {
    this.#add('warning', at, text)
  }

  faults(line: LexedLine): void {
    for (const { column, length, ...text } of line.faults) this.error({ line: line.line, column, length }, text)
  }

  /** A fault of an expression; one that ends too early is pointed at behind `last`. */
  expression(fault: ExpressionFault, last: Token): void {
    const at = fault.at ?? { line: last.line, column: last.column + last.length, length: 1 }
    this.error(at, { code: fault.code, found: fault.found, allowed: fault.allowed, message: fault.message })
  }

  /** A scope in which all names that have a value are known. */
  scope(here: number): Scope {
    return {
      here,
      valueOf: (name) => this.#valueOf(name, null),
      note: (at, code, found, allowed, message) => this.error(at, { code, found, allowed, message }),
    }
  }

  /** A scope for what must be known when its line is first read: `what` says why, as in `The address of an ORG`. */
  earlyScope(here: number, what: string): Scope {
    return { ...this.scope(here), valueOf: (name) => this.#valueOf(name, what) }
  }

  /** A scope that says nothing: for values that may become known later. */
  silentScope(here: number): Scope {
    return {
      here,
      valueOf: ({ key }) => this.#symbols.find(key)?.value ?? this.#given(key),
      note: () => undefined,
    }
  }

  #given(key: string): number | null {
    return this.#symbols.find(key) === undefined ? (this.#symbols.given(key) ?? null) : null
  }

  #valueOf(name: Token, early: string | null): number | null {
    const own = this.#symbols.find(name.key)
    if (own !== undefined && own.value !== null) return own.value
    const given = this.#given(name.key)
    if (given !== null) return given
    // A definition that failed was told where it stands.
    if (own?.state === 'failed') return null
    const register = registerOf(name)
    if (register !== null) this.error(name, registerInExpression(name, register))
    else if (early !== null) this.error(name, notKnownYet(name, early))
    else this.error(name, this.#notDefined(name))
    return null
  }

  #notDefined(name: Token): ProblemText {
    const text = { code: 'not-defined', found: name.text, allowed: 'a label or a name given a value by EQU' }
    if (/^[A-F][0-9A-F]*H$/.test(name.key))
      return {
        ...text,
        message: `${name.text} begins with a letter, so it is read as a name. For the hexadecimal number write 0${name.key}.`,
      }
    this.#searches += 1
    const names = this.#searches > maxSearches ? [] : this.#symbols.names()
    const near = names.length > maxNamesSearched ? null : nearestWord(name.key, names)
    const meant = near === null ? '' : ` Was ${this.#symbols.find(near)?.name ?? near} meant?`
    const isNumber = /^[A-F][0-9A-F]+$/.test(name.key) && near === null
    const number = isNumber ? ` For the hexadecimal number write 0${name.key}H.` : ''
    return { ...text, message: `${name.text} is not defined anywhere in this program.${meant}${number}` }
  }

  #add(severity: 'error' | 'warning', at: Place, text: ProblemText): void {
    const id = `${at.line} ${at.column} ${text.code} ${text.found}`
    if (this.#told.has(id)) return
    this.#told.add(id)
    const place: Place = { line: at.line, column: at.column, length: Math.max(1, at.length) }
    const from = this.call === null ? '' : ` (${callChain(this.call)})`
    this.#problems[severity](place, { ...text, message: text.message + from })
  }
}

function callChain(call: Call): string {
  const own = `in ${call.title}, line ${call.line}`
  return call.outer === null ? own : `${own}, ${callChain(call.outer)}`
}

function registerInExpression(name: Token, register: string): ProblemText {
  const isCondition = !formIndex().byKey.has(`LD ${register},#`) && /^(NZ|Z|NC|PO|PE|P|M)$/.test(register)
  const what = isCondition ? 'a condition' : 'a register'
  return {
    code: 'register-in-expression',
    found: name.text,
    allowed: 'numbers and names with a value',
    message: `${name.text} is ${what} and cannot be part of a sum: its value is known only while the program runs. Only (IX+d) and (IY+d) take a displacement.`,
  }
}

function notKnownYet(name: Token, what: string): ProblemText {
  return {
    code: 'not-known-yet',
    found: name.text,
    allowed: 'numbers, and names defined in a line above',
    message: `${what} must be known here, but ${name.text} is not defined in a line above. Define it before this line.`,
  }
}
