import type { Place, ProblemList, ProblemText } from '../image/index.ts'
import type { Scope } from './evaluate.ts'
import type { ExpressionFault } from './expression.ts'
import type { Call } from './line-reader.ts'
import { nearestWord } from './nearest.ts'
import { otherReading } from './precedence.ts'
import { registerOf } from './operand.ts'
import type { SymbolTable } from './symbols.ts'
import type { LexedLine, Token } from './token.ts'

/** Names among which a likely slip is searched for; with more, the search would cost more than it helps. */
const maxNamesSearched = 300
/** Slips searched for in one text. */
const maxSearches = 30

/** Notes problems at tokens. In a macro it says from where it was called; the same problem at one place is told once. */
export class Notes {
  readonly #problems: ProblemList
  readonly #symbols: SymbolTable
  readonly #told = new Set<string>()
  readonly #used = new Set<string>()
  readonly #mixtures = new Set<string>()
  #searches = 0
  /** The macro or REPT that the line at work came from. */
  call: Call | null = null

  constructor(problems: ProblemList, symbols: SymbolTable) {
    this.#problems = problems
    this.#symbols = symbols
  }

  /** A text that takes long to find may be given as a function: it is not asked when the list is full. */
  error(at: Place, text: ProblemText | (() => ProblemText)): void {
    if (this.#problems.isFull) this.#problems.countError()
    else this.#add('error', at, typeof text === 'function' ? text() : text)
  }

  /** The word of `words` that `word` was probably meant to be; null too once a text has had its share of searches. */
  nearest(word: string, words: readonly string[]): string | null {
    this.#searches += 1
    return this.#searches > maxSearches || words.length > maxNamesSearched ? null : nearestWord(word, words)
  }

  warning(at: Place, text: ProblemText): void {
    this.#add('warning', at, text)
  }

  /** What the spelling of a line gives to say. */
  spelling({ line, faults, doubts }: LexedLine): void {
    for (const { column, length, ...text } of faults) this.error({ line, column, length }, text)
    for (const { column, length, ...text } of doubts) this.warning({ line, column, length }, text)
  }

  /** Says once for each mixture of operators what other assemblers may read otherwise. */
  reading(tokens: readonly Token[]): void {
    const other = otherReading(tokens)
    if (other === null || this.#mixtures.has(other.kind)) return
    this.#mixtures.add(other.kind)
    const { at, ours, theirs } = other
    this.warning(at, {
      code: 'read-otherwise',
      found: ours,
      allowed: 'brackets',
      message: `This is read as ${ours}; some assemblers read ${theirs}. Write the brackets that you mean.`,
    })
  }

  /** A fault of an expression; one that ends too early is pointed at behind `last`. */
  expression(fault: ExpressionFault, last: Token): void {
    const at = fault.at ?? { line: last.line, column: last.column + last.length, length: 1 }
    this.error(at, { code: fault.code, found: fault.found, allowed: fault.allowed, message: fault.message })
  }

  /** A scope in which all names that have a value are known. */
  scope(here: number): Scope {
    return new NotingScope(this, here, null)
  }

  /** A scope for what must be known when its line is first read: `what` says why, as in `The address of an ORG`. */
  earlyScope(here: number, what: string): Scope {
    return new NotingScope(this, here, what)
  }

  /** A scope that says nothing: for values that may become known later. */
  silentScope(here: number): Scope {
    return new SilentScope(this, here)
  }

  /** The value of a name as far as it is known, without a word when it is not. */
  knownValue(name: Token): number | null {
    const key = this.#symbols.keyOf(name)
    return this.#symbols.find(key)?.value ?? this.#given(key)
  }

  /** True for a name that the program asked the value of. */
  isUsed(key: string): boolean {
    return this.#used.has(key)
  }

  #given(key: string): number | null {
    return this.#symbols.find(key) === undefined ? (this.#symbols.given(key) ?? null) : null
  }

  /** The value of a name; when it has none, that is noted. `early` says what needs it now. */
  valueOf(name: Token, early: string | null): number | null {
    const key = this.#symbols.keyOf(name)
    this.#used.add(key)
    const own = this.#symbols.find(key)
    if (own !== undefined && own.value !== null) return own.value
    const given = this.#given(key)
    if (given !== null) return given
    // A definition that failed was told where it stands.
    if (own?.state === 'failed') return null
    const register = registerOf(name)
    if (register !== null) this.error(name, registerInExpression(name, register))
    else if (early !== null) this.error(name, notKnownYet(name, early))
    else this.error(name, () => this.#notDefined(name))
    return null
  }

  #notDefined(name: Token): ProblemText {
    const text = { code: 'not-defined', found: name.text, allowed: 'a label or a name given a value by EQU' }
    if (/^[A-F][0-9A-F]*H$/.test(name.key))
      return {
        ...text,
        message: `${name.text} begins with a letter, so it is read as a name. For the hexadecimal number write 0${name.key}.`,
      }
    if (/^O[0-9A-F]*H$/.test(name.key))
      return {
        ...text,
        message: `${name.text} is not defined anywhere in this program. Was 0${name.key.slice(1)} meant, with the digit 0?`,
      }
    const elsewhere = this.#sameLocalName(name)
    if (elsewhere !== null)
      return {
        ...text,
        message: `${name.text} is not defined: a name with a dot belongs to the label above it. The one below another label is ${elsewhere}: write that, or put the dot name below its own label.`,
      }
    const near = this.nearest(name.key, this.#symbols.names())
    const meant = near === null ? '' : ` Was ${this.#symbols.find(near)?.name ?? near} meant?`
    const isNumber = /^[A-F][0-9A-F]+$/.test(name.key) && near === null
    const number = isNumber ? ` For the hexadecimal number write 0${name.key}H.` : ''
    return { ...text, message: `${name.text} is not defined anywhere in this program.${meant}${number}` }
  }

  /** A name with the same part behind the dot, below another label. */
  #sameLocalName({ key }: Token): string | null {
    const dot = key.lastIndexOf('.')
    if (dot <= 0) return null
    const names = this.#symbols.names()
    if (names.length > maxNamesSearched) return null
    const found = names.find((each) => each.lastIndexOf('.') > 0 && each.endsWith(key.slice(dot)))
    return found === undefined ? null : (this.#symbols.find(found)?.name ?? null)
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

class NotingScope implements Scope {
  readonly here: number
  readonly #notes: Notes
  readonly #early: string | null

  constructor(notes: Notes, here: number, early: string | null) {
    this.here = here
    this.#notes = notes
    this.#early = early
  }

  valueOf(name: Token): number | null {
    return this.#notes.valueOf(name, this.#early)
  }

  note(at: Token, code: string, found: string, allowed: string, message: string): void {
    this.#notes.error(at, { code, found, allowed, message })
  }
}

class SilentScope implements Scope {
  readonly here: number
  readonly #notes: Notes

  constructor(notes: Notes, here: number) {
    this.here = here
    this.#notes = notes
  }

  valueOf(name: Token): number | null {
    return this.#notes.knownValue(name)
  }

  note(): void {
    // What cannot be worked out yet is noted when it is asked for again.
  }
}

/** Most calls named in one message. */
const mostCallsNamed = 3

/** The calls from the inside out, each place once, however often it was passed; of a long way its ends. */
function callChain(innermost: Call): string {
  const places = new Map<string, number>()
  for (let call: Call | null = innermost; call !== null; call = call.outer) {
    const place = `in ${call.title}, from line ${call.line}`
    places.set(place, (places.get(place) ?? 0) + 1)
  }
  const named = [...places].map(([place, count]) => (count === 1 ? place : `${place} (${count} times)`))
  if (named.length <= mostCallsNamed) return named.join(', ')
  const left = named.length - mostCallsNamed
  return [...named.slice(0, mostCallsNamed - 1), `${left} more`, named.at(-1)].join(', ')
}

function registerInExpression(name: Token, register: string): ProblemText {
  const text = { code: 'register-in-expression', found: name.text, allowed: 'numbers and names with a value' }
  return /^(NZ|Z|NC|PO|PE|P|M)$/.test(register)
    ? { ...text, message: `${name.text} is a condition, as in JP ${register}, and has no value of its own.` }
    : {
        ...text,
        message: `${name.text} is a register and cannot be part of a sum: its value is known only while the program runs. Only (IX+d) and (IY+d) take a displacement.`,
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
