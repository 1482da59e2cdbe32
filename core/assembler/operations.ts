import { evaluate } from './evaluate.ts'
import { isFault, parseExpression, type Expression } from './expression.ts'
import { limits } from './limits.ts'
import { matchForm } from './match-form.ts'
import { noSuchForm } from './no-such-form.ts'
import type { Notes } from './notes.ts'
import { parseOperand, type Operand } from './operand.ts'
import type { DataItem, Work } from './record.ts'
import { mnemonicOf, splitAtCommas } from './statement.ts'
import type { Token } from './token.ts'

const nothing: Work = { kind: 'nothing' }

/** Reads what stands behind an instruction or a directive that makes bytes. Mistakes are noted, and give no work. */
export class Operations {
  readonly #notes: Notes

  constructor(notes: Notes) {
    this.#notes = notes
  }

  instruction(mnemonic: string, operation: Token, rest: readonly Token[], here: number): Work {
    const parts = splitAtCommas(rest)
    // LD B,RLC (IX+5) is another spelling of RLC (IX+5),B.
    const [first, second] = parts
    const inner = second?.[0]
    const copied = mnemonic !== 'LD' || inner?.kind !== 'name' || second?.length === 1 ? null : mnemonicOf(inner.key)
    if (copied === null || first === undefined) return this.#encode(mnemonic, parts, operation, here)
    const operands = [...splitAtCommas(second?.slice(1) ?? []), ...parts.slice(2), first]
    return this.#encode(copied, operands, operation, here)
  }

  #encode(mnemonic: string, parts: readonly (readonly Token[])[], operation: Token, here: number): Work {
    const operands: Operand[] = []
    for (const part of parts) {
      if (part.length === 0) {
        this.missing(operation, `An operand of ${mnemonic} is missing before or after a comma.`)
        return nothing
      }
      const operand = parseOperand(part)
      if (isFault(operand)) this.#notes.expression(operand.fault, part.at(-1) ?? operation)
      else {
        if (operand.value !== null) this.#notes.reading(part)
        operands.push(operand)
      }
    }
    if (operands.length < parts.length) return nothing
    const texts = parts.map(written)
    const match = matchForm(mnemonic, operands)
    if (match !== null) return { kind: 'instruction', match, texts, at: operation }
    this.#notes.error(operation, () => {
      const first = operands[0]?.value ?? null
      const firstValue = first === null ? null : evaluate(first, this.#notes.silentScope(here))
      return noSuchForm({ mnemonic, keys: operands.map(({ keys }) => keys[0] ?? ''), texts, firstValue })
    })
    return nothing
  }

  /** DB (`unit` 1) and DW (2). */
  data(unit: 1 | 2, operation: Token, rest: readonly Token[]): Work {
    const items: DataItem[] = []
    const parts = splitAtCommas(rest)
    if (parts.length === 0) this.missing(operation, `${operation.text} needs at least one value behind it.`)
    for (const part of parts) {
      const [first] = part
      if (first === undefined)
        this.missing(operation, `A value of ${operation.text} is missing before or after a comma.`)
      else if (part.length === 1 && first.kind === 'text' && unit === 1) {
        if (this.#isAscii(first))
          items.push({ kind: 'text', bytes: Array.from(first.text, (c) => c.charCodeAt(0)), at: first })
      } else {
        const expression = this.expression(part, operation)
        if (expression !== null) items.push({ kind: 'value', expression, at: first })
      }
    }
    return { kind: 'data', unit, items, at: operation }
  }

  #isAscii(token: Token): boolean {
    const bad = /[^\x20-\x7e]/u.exec(token.text)?.[0]
    if (bad === undefined) return true
    this.#notes.error(token, {
      code: 'not-ascii',
      found: bad,
      allowed: 'the characters of ASCII',
      message: `'${bad}' is no character of ASCII, so it has no value of one byte. Write its byte as a number.`,
    })
    return false
  }

  /** DS: the number of bytes must be known at once, the byte to fill them with may come later. */
  fill(operation: Token, rest: readonly Token[], here: number): Work {
    const [countTokens, valueTokens, extra] = splitAtCommas(rest)
    if (countTokens === undefined) {
      this.missing(operation, `${operation.text} needs the number of bytes to keep free.`)
      return nothing
    }
    if (extra !== undefined)
      this.extra(
        extra[0] ?? operation,
        `${operation.text} takes a number of bytes and the byte to fill them with, no more.`,
      )
    const count = this.early(countTokens, operation, `The number of bytes of ${operation.text}`, here)
    const value = valueTokens === undefined ? null : this.expression(valueTokens, operation)
    if (count === null) return nothing
    if (count >= 0 && count <= limits.bytes) return { kind: 'fill', count, value, at: operation }
    this.#notes.error(countTokens[0] ?? operation, {
      code: 'does-not-fit',
      found: String(count),
      allowed: `0 to ${limits.bytes}`,
      message: `${operation.text} cannot keep ${count} bytes free. Allowed are 0 to ${limits.bytes}.`,
    })
    return nothing
  }

  /** The value of an expression that must be known now; `what` says what needs it. */
  early(tokens: readonly Token[], operation: Token, what: string, here: number): number | null {
    const expression = this.expression(tokens, operation)
    return expression === null ? null : evaluate(expression, this.#notes.earlyScope(here, what))
  }

  expression(tokens: readonly Token[], operation: Token): Expression | null {
    const expression = parseExpression(tokens)
    if (!isFault(expression)) {
      this.#notes.reading(tokens)
      return expression
    }
    this.#notes.expression(expression.fault, tokens.at(-1) ?? operation)
    return null
  }

  missing(at: Token, message: string): void {
    this.#notes.error(at, { code: 'missing-operand', found: 'nothing', allowed: 'a value', message })
  }

  extra(at: Token, message: string): void {
    this.#notes.error(at, { code: 'extra-operand', found: at.text, allowed: 'no more', message })
  }

  stray(operation: Token, home: string): void {
    this.#notes.error(operation, {
      code: 'out-of-place',
      found: operation.text,
      allowed: `${operation.text} inside ${home}`,
      message: `${operation.text} belongs to ${home}, and there is none open here.`,
    })
  }
}

/** Tokens as they may be shown in a sentence, without the blanks of the source that nobody needs. */
function written(tokens: readonly Token[]): string {
  return tokens
    .map((token, i) => {
      const needsBlank = i > 0 && token.kind !== 'mark' && tokens[i - 1]?.kind !== 'mark'
      return (needsBlank ? ' ' : '') + (token.kind === 'text' ? `"${token.text}"` : token.text)
    })
    .join('')
}
