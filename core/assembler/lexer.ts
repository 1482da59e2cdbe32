import { showCharacter, showCount } from '../image/index.ts'
import { numberAdvice, numberStyles, numberValue } from './number-literal.ts'
import { maxLineLength, type Fault, type LexedLine, type Token } from './token.ts'

const blank = /[ \t]+/y
const name = /(?:\.(?=[A-Za-z_?@])|[A-Za-z_?@])[A-Za-z0-9_?@.]*/y
const digits = /[0-9][0-9A-Za-z_]*/y
const prefixed = /[$#&]([0-9A-Fa-f]+)(?![0-9A-Za-z_])|%([01]+)(?![0-9A-Za-z_])/y
const mark = /<<|>>|<=|>=|<>|==|!=|&&|\|\||[-+*/%&|^~!<>=(),:$[\]]/y

/** Cuts one line into tokens; a comment from `;` on is left out. */
export function lexLine(source: string, line: number): LexedLine {
  const tokens: Token[] = []
  const faults: Fault[] = []
  if (source.length > maxLineLength) {
    const fault = {
      code: 'line-too-long',
      found: showCount(source.length, 'character'),
      allowed: `up to ${showCount(maxLineLength, 'character')}`,
      message: `This line has ${showCount(source.length, 'character')}; a line may have up to ${showCount(maxLineLength, 'character')}.`,
    }
    return { line, source: source.slice(0, maxLineLength), tokens, faults: [{ ...fault, column: 1, length: 1 }] }
  }
  let at = 0
  const match = (pattern: RegExp): RegExpExecArray | null => {
    pattern.lastIndex = at
    return pattern.exec(source)
  }
  const add = (kind: Token['kind'], text: string, length: number, value = 0): void => {
    tokens.push({ kind, text, key: kind === 'name' ? text.toUpperCase() : text, value, line, column: at + 1, length })
    at += length
  }
  const fault = (length: number, code: string, found: string, allowed: string, message: string): void => {
    faults.push({ column: at + 1, length, code, found, allowed, message })
    at += length
  }

  while (at < source.length) {
    const character = source[at] ?? ''
    if (character === ';') break
    const skipped = match(blank)
    if (skipped !== null) {
      at += skipped[0].length
      continue
    }
    const word = match(name)
    if (word !== null) {
      // The quote of AF' belongs to the name; nowhere else does one follow a name directly.
      const isShadow = word[0].toUpperCase() === 'AF' && source[at + 2] === "'"
      add('name', isShadow ? `${word[0]}'` : word[0], word[0].length + (isShadow ? 1 : 0))
      continue
    }
    const number = match(digits)
    if (number !== null) {
      const text = number[0]
      const value = numberValue(text)
      if (value === null)
        fault(text.length, 'bad-number', text, numberStyles, `${text} is no number. ${numberAdvice(text)}`)
      else add('number', text, text.length, value)
      continue
    }
    // & and % are operators behind a value and marks of a number in front of one.
    const last = tokens[tokens.length - 1]
    const isBehindValue = last !== undefined && (last.kind !== 'mark' || /^[)\]$]$/.test(last.text))
    const special = isBehindValue && (character === '&' || character === '%') ? null : match(prefixed)
    if (special !== null) {
      const value = special[1] === undefined ? parseInt(special[2] ?? '0', 2) : parseInt(special[1], 16)
      add('number', special[0], special[0].length, value)
      continue
    }
    if (character === '"' || character === "'") {
      const text = quoted(source, at)
      if (text === null)
        fault(
          source.length - at,
          'open-quote',
          source.slice(at),
          `a second ${character}`,
          `The text that begins with ${character} here is not closed: put ${character} at its end.`,
        )
      else add('text', text.value, text.length)
      continue
    }
    const operator = match(mark)
    if (operator !== null) {
      add('mark', operator[0], operator[0].length)
      continue
    }
    const bad = String.fromCodePoint(source.codePointAt(at) ?? 0)
    const allowed = 'letters, digits, _ . ? @ and the usual marks'
    fault(bad.length, 'bad-character', showCharacter(bad), allowed, badCharacterMessage(bad))
  }
  return { line, source, tokens, faults }
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
