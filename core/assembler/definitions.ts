import { operatorWords } from './operators.ts'
import type { Call } from './line-reader.ts'
import type { Notes } from './notes.ts'
import { registerOf } from './operand.ts'
import { directiveOf } from './directives.ts'
import { mnemonicOf } from './statement.ts'
import type { Definition, SymbolTable } from './symbols.ts'
import type { Token } from './token.ts'
import { slipOfInstruction, type Slip } from './unknown-operation.ts'

/** Enters names into the symbol table, and refuses those that mean something else or are there already. */
export class Definitions {
  readonly #slips: { readonly label: Token; readonly slip: Slip; readonly call: Call | null }[] = []
  readonly #symbols: SymbolTable
  readonly #notes: Notes

  constructor(symbols: SymbolTable, notes: Notes) {
    this.#symbols = symbols
    this.#notes = notes
  }

  has(name: Token): boolean {
    return this.#symbols.has(this.#symbols.keyOf(name))
  }

  /** A label: the name of an address. */
  label(token: Token, address: number): void {
    this.enter(token, { kind: 'label', value: address, expression: null, here: address })
  }

  /** Enters a name; null, with a problem noted, when it is taken or is no name for a label. */
  enter(token: Token, about: Pick<Definition, 'kind' | 'value' | 'expression' | 'here'>): Definition | null {
    if (this.isReserved(token, 'a name of the program')) return null
    const before = this.#symbols.find(token.key)
    if (before !== undefined) {
      if (before.kind === 'variable' && about.kind === 'variable') {
        before.value = about.value
        return before
      }
      const spelling = before.name === token.text ? '' : ` as ${before.name} (capitals make no difference)`
      this.#notes.error(token, {
        code: 'defined-twice',
        found: token.text,
        allowed: 'each name once',
        message: `${token.text} is defined twice: first in line ${before.at.line}${spelling}, again here. Choose another name for one of them.`,
      })
      return null
    }
    const mayBecomeKnown = about.expression !== null || about.kind === 'variable'
    const state = about.value !== null ? 'known' : mayBecomeKnown ? 'open' : 'failed'
    const definition: Definition = { ...about, name: token.text, at: token, state }
    this.#symbols.define(definition)
    return definition
  }

  /** True, with a problem noted, for a word that means something already. `use` says what it cannot be. */
  isReserved(token: Token, use: string): boolean {
    const meaning = meaningOf(token)
    if (meaning === null) return false
    this.#notes.error(token, {
      code: 'reserved-name',
      found: token.text,
      allowed: 'a name of its own',
      message: `${token.text} is ${meaning}, so it cannot be ${use}. Choose another, such as ${token.text}1.`,
    })
    return true
  }

  /** Remembers a name alone on its line that looks like an instruction that was mistyped. */
  checkBareLabel(label: Token): void {
    const slip = slipOfInstruction(label.key)
    if (slip !== null) this.#slips.push({ label, slip, call: this.#notes.call })
  }

  /** At the end: tells of those that nothing in the program refers to. A name that is gone to is a label. */
  tellSlips(): void {
    for (const { label, slip, call } of this.#slips) {
      if (this.#notes.isUsed(label.key)) continue
      this.#notes.call = call
      this.#tellSlip(label, slip)
    }
  }

  #tellSlip(label: Token, slip: Slip): void {
    const text = { code: 'label-or-instruction', found: label.text, allowed: 'an instruction, or a label with a colon' }
    const asLabel = `write ${label.text}:`
    if (slip.isSure)
      this.#notes.error(label, {
        ...text,
        message: `${label.text} is no instruction of the Z80. Write ${slip.meant}; for a label of that name ${asLabel}`,
      })
    else
      this.#notes.warning(label, {
        ...text,
        message: `${label.text} is read as a label here. If the instruction ${slip.meant} was meant, mend it; for a label ${asLabel}`,
      })
  }
}

function meaningOf(token: Token): string | null {
  const { key } = token
  if (mnemonicOf(key) !== null) return 'an instruction'
  if (directiveOf(key) !== null && !key.startsWith('.')) return 'a word of the assembler'
  if (operatorWords.has(key)) return 'an operator'
  return registerOf(token) === null ? null : 'the name of a register or condition'
}
