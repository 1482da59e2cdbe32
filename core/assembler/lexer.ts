import { showCharacter, showCount } from '../image/index.ts'
import { operatorWords } from './operators.ts'
import { forgottenH, numberAdvice, numberStyles, numberValue } from './number-literal.ts'
import { directiveOf } from './directives.ts'
import { mnemonicOf } from './statement.ts'
import { maxLineLength, type Fault, type LexedLine, type Token } from './token.ts'

const name = /(?:\.(?=[A-Za-z0-9_?@])|[A-Za-z_?@])[A-Za-z0-9_?@.]*/y
const digits = /[0-9][0-9A-Za-z_]*/y
const hexadecimal = /[$#&][0-9A-Fa-f]+(?![0-9A-Za-z_])/y
const binary = /%[01]+(?![0-9A-Za-z_])/y
const mark = /<<|>>|<=|>=|<>|==|!=|&&|\|\||[-+*/%&|^~!<>=(),:$[\]]/y

/** Cuts one line into tokens; a comment from `;` on is left out. */
export function lexLine(source: string, line: number): LexedLine {
  if (source.length > maxLineLength)
    return {
      line,
      source: source.slice(0, maxLineLength),
      tokens: [],
      faults: [lineTooLong(source.length)],
      doubts: none,
    }
  const lexer = new LineLexer(source, line)
  lexer.run()
  return { line, source, tokens: lexer.tokens, faults: lexer.faults, doubts: lexer.doubts }
}

const none: readonly Fault[] = []

class LineLexer {
  readonly tokens: Token[] = []
  faults: readonly Fault[] = none
  doubts: readonly Fault[] = none
  readonly #source: string
  readonly #line: number
  #at = 0

  constructor(source: string, line: number) {
    this.#source = source
    this.#line = line
  }

  run(): void {
    const source = this.#source
    while (this.#at < source.length) {
      const character = source[this.#at] ?? ''
      if (character === ';') return
      if (character === ' ' || character === '\t') this.#at += 1
      else this.#token(character)
    }
  }

  #token(character: string): void {
    const word = this.#match(name)
    if (word !== null) return this.#name(word)
    const number = this.#match(digits)
    if (number !== null) return this.#number(number)
    const special = this.#prefixed(character)
    if (special !== null) return this.#add('number', special, special.length, prefixedValue(special))
    if (character === '"' || character === "'") return this.#text(character)
    const operator = this.#match(mark)
    if (operator !== null) return this.#add('mark', operator, operator.length)
    const bad = String.fromCodePoint(this.#source.codePointAt(this.#at) ?? 0)
    const allowed = 'letters, digits, _ . ? @ and the usual marks'
    this.#fault(bad.length, 'bad-character', showCharacter(bad), allowed, badCharacterMessage(bad))
  }

  /** The text that a pattern matches here, or null. Makes no array: this runs for every token of every line. */
  #match(pattern: RegExp): string | null {
    pattern.lastIndex = this.#at
    return pattern.test(this.#source) ? this.#source.slice(this.#at, pattern.lastIndex) : null
  }

  #name(word: string): void {
    // The quote of AF' belongs to the name; nowhere else does one follow a name directly.
    const isShadow = word.toUpperCase() === 'AF' && this.#source[this.#at + 2] === "'"
    const text = isShadow ? `${word}'` : word
    this.#add('name', text, text.length)
  }

  #number(text: string): void {
    const value = numberValue(text)
    if (value !== null) {
      this.#doubt(text)
      return this.#add('number', text, text.length, value)
    }
    this.#fault(text.length, 'bad-number', text, numberStyles, `${text} is no number. ${numberAdvice(text)}`)
  }

  #doubt(text: string): void {
    const doubt = forgottenH(text)
    if (doubt === null) return
    const { readAs, meant } = doubt
    const message = `${text} is read as ${readAs}. For the hexadecimal number write ${meant}.`
    const about = { code: 'forgotten-h', found: text, allowed: `${meant} for a hexadecimal number`, message }
    this.doubts = [...this.doubts, { column: this.#at + 1, length: text.length, ...about }]
  }

  /** & and % are operators behind a value and marks of a number in front of one. */
  #prefixed(character: string): string | null {
    if ((character === '&' || character === '%') && this.#isBehindValue()) return null
    return character === '%' ? this.#match(binary) : this.#match(hexadecimal)
  }

  #isBehindValue(): boolean {
    const last = this.tokens[this.tokens.length - 1]
    if (last === undefined) return false
    if (last.kind === 'mark') return /^[)\]$]$/.test(last.text)
    if (last.kind !== 'name') return true
    // The first word of a line is a label or an operation, never a value.
    const isFirst = this.tokens.length === 1 || this.tokens[this.tokens.length - 2]?.text === ':'
    return !isFirst && !operatorWords.has(last.key) && mnemonicOf(last.key) === null && directiveOf(last.key) === null
  }

  #text(quote: string): void {
    const text = quoted(this.#source, this.#at)
    if (text !== null) return this.#add('text', text.value, text.length)
    const rest = this.#source.slice(this.#at)
    const message = `The text that begins with ${quote} here is not closed: put ${quote} at its end.`
    this.#fault(rest.length, 'open-quote', rest, `a second ${quote}`, message)
  }

  #add(kind: Token['kind'], text: string, length: number, value = 0): void {
    const key = kind === 'name' ? text.toUpperCase() : text
    this.tokens.push({ kind, text, key, value, line: this.#line, column: this.#at + 1, length })
    this.#at += length
  }

  #fault(length: number, code: string, found: string, allowed: string, message: string): void {
    this.faults = [...this.faults, { column: this.#at + 1, length, code, found, allowed, message }]
    this.#at += length
  }
}

function prefixedValue(text: string): number {
  return parseInt(text.slice(1), text.startsWith('%') ? 2 : 16)
}

function lineTooLong(length: number): Fault {
  return {
    column: 1,
    length: 1,
    code: 'line-too-long',
    found: showCount(length, 'character'),
    allowed: `up to ${showCount(maxLineLength, 'character')}`,
    message: `This line has ${showCount(length, 'character')}; a line may have up to ${showCount(maxLineLength, 'character')}.`,
  }
}

/** The text between quotes from `at` on, a doubled quote standing for one; null when it is not closed. */
function quoted(source: string, at: number): { value: string; length: number } | null {
  const quote = source[at]
  let value = ''
  for (let i = at + 1; i < source.length; i += 1) {
    if (source[i] !== quote) value += source[i]
    else if (source[i + 1] === quote) {
      value += quote
      i += 1
    } else return { value, length: i + 1 - at }
  }
  return null
}

function badCharacterMessage(bad: string): string {
  const shown = showCharacter(bad)
  if (/[‘’‚‛´`]/.test(bad)) return `${shown} cannot stand here. Was the plain quote ' meant?`
  if (/[“”„]/.test(bad)) return `${shown} cannot stand here. Was the plain quote " meant?`
  if (/[–—−]/.test(bad)) return `${shown} cannot stand here. Was the minus sign - meant?`
  if (/\s/.test(bad)) return `${shown} cannot stand here. Use a plain blank.`
  return `${shown} cannot stand here. A comment begins with ;`
}
