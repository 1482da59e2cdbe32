import { showCount } from '../image/index.ts'
import { ConditionStack } from './conditions.ts'
import { evaluate } from './evaluate.ts'
import { isFault, operatorWords, parseExpression, type Expression } from './expression.ts'
import { limits } from './limits.ts'
import type { Call, LineReader, SourceLine } from './line-reader.ts'
import { matchForm } from './match-form.ts'
import { noSuchForm } from './no-such-form.ts'
import type { Notes } from './notes.ts'
import { parseOperand, registerOf, type Operand } from './operand.ts'
import { sizeOf, type AssembledLine, type DataItem, type Work } from './record.ts'
import { directiveOf, mnemonicOf, parseStatement, splitAtCommas, type Statement } from './statement.ts'
import type { Definition, SymbolTable } from './symbols.ts'
import type { LexedLine, Token } from './token.ts'
import { slipOfInstruction, unknownOperation } from './unknown-operation.ts'

interface Macro {
  readonly name: string
  readonly parameters: readonly Token[]
  readonly body: readonly LexedLine[]
}

const nothing: Work = { kind: 'nothing' }
const codes = { missing: 'missing-operand', extra: 'extra-operand' } as const

/** Reads all lines, expands macros, and gives each line its address and each name its definition. */
export class FirstPass {
  readonly lines: AssembledLine[] = []
  readonly #reader: LineReader
  readonly #symbols: SymbolTable
  readonly #notes: Notes
  readonly #macros = new Map<string, Macro>()
  readonly #conditions: ConditionStack
  #address: number
  #isEnded = false

  constructor(reader: LineReader, symbols: SymbolTable, notes: Notes, origin: number) {
    this.#reader = reader
    this.#symbols = symbols
    this.#notes = notes
    this.#address = origin
    this.#conditions = new ConditionStack(notes)
  }

  run(): void {
    for (;;) {
      if (this.#reader.isSpent && !this.#hasStopped) this.#stopExpanding()
      const line = this.#reader.nextHere()
      if (line !== null) this.#line(line)
      else {
        this.#conditions.closeAbove(this.#reader.depth)
        if (!this.#reader.leave()) return
      }
    }
  }

  #line(line: SourceLine): void {
    this.#notes.call = line.call ?? null
    if (this.#isEnded) {
      const first = line.tokens[0]
      if (first !== undefined) this.#warnAfterEnd(first)
      this.#keep(line, null, null, nothing)
      return
    }
    const statement = parseStatement(line.tokens, (key) => this.#macros.has(key))
    if (this.#condition(line, statement)) return
    if (!this.#conditions.isActive) return this.#keep(line, null, null, nothing)
    if (isDumpLine(line)) return this.#refuseDump(line)
    this.#notes.faults(line)
    if (line.tokens.length > limits.lineTokens) this.#noteLongLine(line)
    const { label, operation, name } = statement
    if (name === 'MACRO') return this.#defineMacro(line, statement)
    if (name === 'REPT') return this.#repeat(line, statement)
    if (name === 'EQU' || name === 'DEFL') return this.#assign(line, statement)
    if (label !== null && statement.isBareLabel) this.#checkBareLabel(label)
    if (name === 'ORG') return this.#origin(line, statement)
    const start = this.#address
    if (label !== null) this.#define(label, { kind: 'label', value: start, expression: null, here: start })
    const work = operation === null || line.faults.length > 0 ? nothing : this.#work(line, statement, operation)
    const hasPlace = label !== null || sizeOf(work) > 0
    this.#keep(line, hasPlace ? start : null, label?.text ?? null, work)
    this.#address += sizeOf(work)
  }

  #keep(line: SourceLine, address: number | null, label: string | null, work: Work): void {
    this.lines.push({ line, address, label, work })
  }

  #work(line: SourceLine, statement: Statement, operation: Token): Work {
    const { name, rest } = statement
    const macro = this.#macros.get(operation.key)
    if (macro !== undefined) return this.#call(macro, operation, rest, line.call ?? null)
    switch (name) {
      case null:
        this.#notes.error(operation, () =>
          unknownOperation(operation, rest[0], (word, words) =>
            this.#notes.nearest(word, [...words, ...this.#macros.keys()]),
          ),
        )
        return nothing
      case 'DB':
        return this.#data(1, operation, rest)
      case 'DW':
        return this.#data(2, operation, rest)
      case 'DS':
        return this.#fill(operation, rest)
      case 'END':
        return this.#end(operation, rest)
      case 'ENDM':
        return this.#stray(operation, 'a MACRO or REPT')
      case 'LOCAL':
        return this.#local(operation, rest)
      default:
        return this.#instruction(name, operation, rest)
    }
  }

  #instruction(mnemonic: string, operation: Token, rest: readonly Token[]): Work {
    const parts = splitAtCommas(rest)
    // LD B,RLC (IX+5) is another spelling of RLC (IX+5),B.
    const inner = parts[1]?.[0]
    const copied = inner === undefined || (parts[1]?.length ?? 0) < 2 ? null : mnemonicOf(inner.key)
    if (mnemonic === 'LD' && copied !== null && parts[0] !== undefined && inner?.kind === 'name') {
      const operands = [...splitAtCommas(parts[1]?.slice(1) ?? []), ...parts.slice(2), parts[0]]
      return this.#encode(copied, operands, operation)
    }
    return this.#encode(mnemonic, parts, operation)
  }

  #encode(mnemonic: string, parts: readonly (readonly Token[])[], operation: Token): Work {
    const operands: Operand[] = []
    let isBroken = false
    for (const part of parts) {
      if (part.length === 0) {
        this.#missing(operation, `An operand of ${mnemonic} is missing before or after a comma.`)
        return nothing
      }
      const operand = parseOperand(part)
      if (!isFault(operand)) operands.push(operand)
      else {
        this.#notes.expression(operand.fault, part.at(-1) ?? operation)
        isBroken = true
      }
    }
    if (isBroken) return nothing
    const match = matchForm(mnemonic, operands)
    const texts = parts.map(written)
    if (match !== null) return { kind: 'instruction', match, texts, at: operation }
    const first = operands[0]?.value ?? null
    this.#notes.error(operation, () =>
      noSuchForm({
        mnemonic,
        keys: operands.map(({ keys }) => keys[0] ?? ''),
        texts,
        firstValue: first === null ? null : evaluate(first, this.#notes.silentScope(this.#address)),
      }),
    )
    return nothing
  }

  #data(unit: 1 | 2, operation: Token, rest: readonly Token[]): Work {
    const items: DataItem[] = []
    const parts = splitAtCommas(rest)
    if (parts.length === 0) this.#missing(operation, `${operation.text} needs at least one value behind it.`)
    for (const part of parts) {
      const [first] = part
      if (first === undefined)
        this.#missing(operation, `A value of ${operation.text} is missing before or after a comma.`)
      else if (part.length === 1 && first.kind === 'text' && unit === 1) {
        if (this.#isAscii(first))
          items.push({ kind: 'text', bytes: Array.from(first.text, (c) => c.charCodeAt(0)), at: first })
      } else {
        const expression = this.#expression(part, operation)
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

  #fill(operation: Token, rest: readonly Token[]): Work {
    const [countTokens, valueTokens, extra] = splitAtCommas(rest)
    if (countTokens === undefined) {
      this.#missing(operation, `${operation.text} needs the number of bytes to keep free.`)
      return nothing
    }
    if (extra !== undefined)
      this.#extra(
        extra[0] ?? operation,
        `${operation.text} takes a number of bytes and the byte to fill them with, no more.`,
      )
    const count = this.#early(countTokens, operation, `The number of bytes of ${operation.text}`)
    const value = valueTokens === undefined ? null : this.#expression(valueTokens, operation)
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

  #end(operation: Token, rest: readonly Token[]): Work {
    this.#isEnded = true
    this.#reader.leaveAll()
    if (rest.length === 0) return nothing
    const expression = this.#expression(rest, operation)
    return expression === null ? nothing : { kind: 'end', expression }
  }

  #origin(line: SourceLine, { label, operation, rest }: Statement): void {
    const value = operation === null ? null : this.#early(rest, operation, 'The address of an ORG')
    if (value !== null && (value < 0 || value > 0xffff) && operation !== null)
      this.#notes.error(rest[0] ?? operation, {
        code: 'does-not-fit',
        found: String(value),
        allowed: '0000H to FFFFH',
        message: `${value} is no address. Addresses go from 0000H to FFFFH.`,
      })
    else if (value !== null) this.#address = value
    const start = this.#address
    if (label !== null) this.#define(label, { kind: 'label', value: start, expression: null, here: start })
    this.#keep(line, start, label?.text ?? null, nothing)
  }

  #assign(line: SourceLine, { label, operation, name, rest }: Statement): void {
    this.#keepAssignment(line, label, operation, name === 'DEFL' ? 'variable' : 'equ', rest)
  }

  #keepAssignment(
    line: SourceLine,
    label: Token | null,
    operation: Token | null,
    kind: 'equ' | 'variable',
    rest: readonly Token[],
  ): void {
    const expression = operation === null ? null : this.#expression(rest, operation)
    if (label === null && operation !== null)
      this.#missing(operation, `${operation.text} needs a name before it, as in COUNT ${operation.text} 5.`)
    if (expression === null || label === null) {
      // The name exists all the same: only its value is missing, and that has been told.
      if (label !== null) this.#define(label, { kind, value: null, expression: null, here: this.#address })
      return this.#keep(line, null, null, nothing)
    }
    const value = evaluate(expression, this.#notes.silentScope(this.#address))
    const definition = this.#define(label, {
      kind,
      value,
      expression: kind === 'equ' && value === null ? expression : null,
      here: this.#address,
    })
    const isVariable = kind === 'variable' && definition !== null
    this.#keep(line, null, null, isVariable ? { kind: 'variable', definition, expression } : nothing)
  }

  /** Enters a name; null, with a problem noted, when it is taken or is no name for a label. */
  #define(label: Token, about: Pick<Definition, 'kind' | 'value' | 'expression' | 'here'>): Definition | null {
    const reserved = this.#reservedAs(label.key)
    const before = this.#symbols.find(label.key)
    if (reserved !== null) {
      this.#notes.error(label, {
        code: 'reserved-name',
        found: label.text,
        allowed: 'a name of its own',
        message: `${label.text} is ${reserved}, so it cannot be a name of the program. Choose another, such as ${label.text}1.`,
      })
      return null
    }
    if (before !== undefined && (before.kind !== 'variable' || about.kind !== 'variable')) {
      const isSpelledAlike = before.name === label.text
      this.#notes.error(label, {
        code: 'defined-twice',
        found: label.text,
        allowed: 'each name once',
        message: `${label.text} is defined twice: first in line ${before.at.line}${isSpelledAlike ? '' : ` as ${before.name} (capitals make no difference)`}, again here. Choose another name for one of them.`,
      })
      return null
    }
    if (before !== undefined) {
      before.value = about.value
      return before
    }
    const isOpen = about.value === null && about.expression !== null
    const state = about.value !== null ? 'known' : isOpen ? 'open' : about.kind === 'variable' ? 'open' : 'failed'
    const definition: Definition = { ...about, name: label.text, at: label, state }
    this.#symbols.define(definition)
    return definition
  }

  #reservedAs(key: string): string | null {
    if (mnemonicOf(key) !== null) return 'an instruction'
    if (directiveOf(key) !== null && !key.startsWith('.')) return 'a word of the assembler'
    if (operatorWords.has(key)) return 'an operator'
    return registerOf({ kind: 'name', text: key, key, value: 0, line: 1, column: 1, length: 1 }) === null
      ? null
      : 'the name of a register or condition'
  }

  #checkBareLabel(label: Token): void {
    const slip = slipOfInstruction(label.key)
    if (slip === null) return
    const text = {
      code: 'label-or-instruction',
      found: label.text,
      allowed: 'an instruction, or a label with a colon',
      message: slip.isSure
        ? `${label.text} is no instruction of the Z80. Write ${slip.meant}; for a label of that name write ${label.text}:`
        : `${label.text} is read as a label here. If the instruction ${slip.meant} was meant, mend it; for a label write ${label.text}:`,
    }
    if (slip.isSure) this.#notes.error(label, text)
    else this.#notes.warning(label, text)
  }

  /** IF and its companions; true when the line was one of them. */
  #condition(line: SourceLine, statement: Statement): boolean {
    const { name, operation, rest } = statement
    if (operation === null || name === null || !/^(IF|IFDEF|IFNDEF|ELSE|ENDIF)$/.test(name)) return false
    if (name === 'ELSE') this.#conditions.otherwise(operation, this.#reader.depth)
    else if (name === 'ENDIF') this.#conditions.close(operation, this.#reader.depth)
    else {
      const isActive = this.#conditions.isActive
      if (isActive) this.#notes.faults(line)
      const isTrue =
        isActive && (name === 'IF' ? this.#isTrue(rest, operation) : this.#isDefined(rest, operation, name))
      this.#conditions.open(operation, this.#reader.depth, isTrue)
    }
    this.#keep(line, null, null, nothing)
    return true
  }

  #isTrue(rest: readonly Token[], operation: Token): boolean {
    const value = this.#early(rest, operation, 'The condition of an IF')
    return value !== null && value !== 0
  }

  #isDefined(rest: readonly Token[], operation: Token, name: string): boolean {
    const [word, extra] = rest
    if (word?.kind !== 'name') this.#missing(operation, `${operation.text} needs a name behind it.`)
    else if (extra !== undefined) this.#extra(extra, `${operation.text} takes one name.`)
    return word !== undefined && this.#symbols.has(word.key) === (name === 'IFDEF')
  }

  #defineMacro(line: SourceLine, { label, operation, rest }: Statement): void {
    this.#keep(line, null, null, nothing)
    // Both orders are taken: NAME MACRO A,B and MACRO NAME A,B.
    const [first] = rest
    const name = label ?? (first?.kind === 'name' ? first : null)
    const words = label === null ? rest.slice(rest[1]?.text === ',' ? 2 : 1) : rest
    const parameters = splitAtCommas(words).flatMap((part) => part)
    const body = this.#body(line, operation ?? line.tokens[0], true)
    if (operation === null) return
    if (name === null) return this.#missing(operation, 'A macro needs a name, as in DELAY MACRO COUNT.')
    const bad = parameters.find((token) => token.kind !== 'name' || registerOf(token) !== null)
    const reserved = this.#reservedAs(name.key)
    if (bad !== undefined)
      this.#notes.error(bad, {
        code: 'bad-parameter',
        found: bad.text,
        allowed: 'names parted by commas',
        message: `The parameters of a macro are names that mean nothing else, parted by commas; '${bad.text}' is none.`,
      })
    else if (reserved !== null)
      this.#notes.error(name, {
        code: 'reserved-name',
        found: name.text,
        allowed: 'a name of its own',
        message: `${name.text} is ${reserved}, so it cannot be a macro. Choose another name.`,
      })
    else if (this.#macros.has(name.key))
      this.#notes.error(name, {
        code: 'defined-twice',
        found: name.text,
        allowed: 'each macro once',
        message: `The macro ${name.text} is defined twice. Choose another name for one of them.`,
      })
    else this.#macros.set(name.key, { name: name.text, parameters, body })
  }

  /** Lines up to the ENDM that belongs to `line`; kept in the listing when `isListed`. */
  #body(line: SourceLine, operation: Token | undefined, isListed: boolean): LexedLine[] {
    const body: LexedLine[] = []
    let open = 1
    for (let next = this.#reader.nextHere(); next !== null; next = this.#reader.nextHere()) {
      const { name } = parseStatement(next.tokens, (key) => this.#macros.has(key))
      if (name === 'MACRO' || name === 'REPT') open += 1
      if (name === 'ENDM') open -= 1
      if (isListed || open === 0) this.#keep(next, null, null, nothing)
      if (open === 0) return body
      body.push(next)
    }
    this.#notes.error(operation ?? { line: line.line, column: 1, length: 1 }, {
      code: 'open-macro',
      found: 'no ENDM',
      allowed: 'an ENDM for each MACRO and REPT',
      message: `The ENDM for this ${operation?.text ?? 'MACRO'} is missing.`,
    })
    return body
  }

  #repeat(line: SourceLine, { label, operation, rest }: Statement): void {
    const start = this.#address
    if (label !== null) this.#define(label, { kind: 'label', value: start, expression: null, here: start })
    this.#keep(line, label === null ? null : start, label?.text ?? null, nothing)
    if (operation === null) return
    const count = this.#early(rest, operation, 'The number of rounds of a REPT')
    const isNone = count === null || count <= 0
    const body = this.#body(line, operation, isNone)
    this.#notes.call = line.call ?? null
    if (count !== null && count < 0)
      this.#notes.error(rest[0] ?? operation, {
        code: 'does-not-fit',
        found: String(count),
        allowed: '0 or more',
        message: `REPT cannot go round ${count} times.`,
      })
    if (!isNone)
      this.#enter(
        body,
        { title: `REPT ${count}`, line: line.line, outer: line.call ?? null },
        new Map(),
        count,
        operation,
      )
  }

  #call(macro: Macro, operation: Token, rest: readonly Token[], outer: Call | null): Work {
    const values = splitAtCommas(rest)
    if (values.length > macro.parameters.length)
      this.#extra(
        values[macro.parameters.length]?.[0] ?? operation,
        `The macro ${macro.name} takes ${showCount(macro.parameters.length, 'parameter')}, but ${values.length} are written here.`,
      )
    else if (values.length < macro.parameters.length)
      this.#missing(
        operation,
        `The macro ${macro.name} takes ${showCount(macro.parameters.length, 'parameter')} (${macro.parameters.map((token) => token.text).join(', ')}), but ${values.length === 0 ? 'none is' : `${values.length} ${values.length === 1 ? 'is' : 'are'}`} written here.`,
      )
    else {
      const words = new Map(macro.parameters.map((parameter, i) => [parameter.key, values[i] ?? []] as const))
      const call = { title: `the macro ${macro.name} called from`, line: operation.line, outer }
      this.#enter(macro.body, call, new Map(words), 1, operation)
    }
    return nothing
  }

  #enter(
    body: readonly LexedLine[],
    call: Call,
    words: Map<string, readonly Token[]>,
    rounds: number,
    at: Token,
  ): void {
    if (this.#reader.enter(body, call, words, rounds) === 'too-deep')
      this.#notes.error(at, {
        code: 'too-deep',
        found: `more than ${limits.depth} inside each other`,
        allowed: `up to ${limits.depth}`,
        message: `Macros and REPT may stand up to ${limits.depth} inside each other; here it would be more. Does the macro call itself?`,
      })
  }

  #hasStopped = false
  #stopExpanding(): void {
    this.#hasStopped = true
    let call = this.#notes.call
    while (call !== null && call.outer !== null) call = call.outer
    this.#notes.call = null
    this.#notes.error(
      { line: call?.line ?? 1, column: 1, length: 1 },
      {
        code: 'expansion-too-long',
        found: `more than ${showCount(limits.expandedLines, 'line')}`,
        allowed: `up to ${showCount(limits.expandedLines, 'line')} with ${showCount(limits.expandedTokens, 'word')}`,
        message: `Macros and REPT of this program come to more than ${showCount(limits.expandedLines, 'line')} or ${showCount(limits.expandedTokens, 'word')}. From here on none is expanded.`,
      },
    )
    this.#reader.leaveAll()
    this.#conditions.closeAbove(0)
  }

  #local(operation: Token, rest: readonly Token[]): Work {
    for (const token of splitAtCommas(rest).flat())
      if (token.kind !== 'name' || !this.#reader.declareLocal(token)) {
        this.#stray(operation, 'a macro or REPT')
        break
      }
    return nothing
  }

  #stray(operation: Token, home: string): Work {
    this.#notes.error(operation, {
      code: 'out-of-place',
      found: operation.text,
      allowed: `${operation.text} inside ${home}`,
      message: `${operation.text} belongs to ${home}, and there is none open here.`,
    })
    return nothing
  }

  #early(tokens: readonly Token[], operation: Token, what: string): number | null {
    const expression = this.#expression(tokens, operation)
    return expression === null ? null : evaluate(expression, this.#notes.earlyScope(this.#address, what))
  }

  #expression(tokens: readonly Token[], operation: Token): Expression | null {
    const expression = parseExpression(tokens)
    if (!isFault(expression)) return expression
    this.#notes.expression(expression.fault, tokens.at(-1) ?? operation)
    return null
  }

  #missing(at: Token, message: string): void {
    this.#notes.error(at, { code: codes.missing, found: 'nothing', allowed: 'a value', message })
  }

  #extra(at: Token, message: string): void {
    this.#notes.error(at, { code: codes.extra, found: at.text, allowed: 'no more', message })
  }

  #refuseDump(line: SourceLine): void {
    this.#notes.error(
      { line: line.line, column: 1, length: line.source.length },
      {
        code: 'looks-like-dump',
        found: line.source.trim(),
        allowed: 'instructions',
        message:
          'This line is bytes of a hex dump, not an instruction. Hand the program in as a hex dump, or write the bytes with DB.',
      },
    )
    this.#keep(line, null, null, nothing)
  }

  #noteLongLine(line: SourceLine): void {
    this.#notes.error(line.tokens[0] ?? { line: line.line, column: 1, length: 1 }, {
      code: 'line-too-long',
      found: `more than ${showCount(limits.lineTokens, 'word')}`,
      allowed: `up to ${showCount(limits.lineTokens, 'word')}`,
      message: `With its parameters put in, this line has more than ${showCount(limits.lineTokens, 'word')}.`,
    })
  }

  #hasWarnedAfterEnd = false
  #warnAfterEnd(at: Token): void {
    if (this.#hasWarnedAfterEnd) return
    this.#hasWarnedAfterEnd = true
    this.#notes.warning(at, {
      code: 'after-end',
      found: 'text behind END',
      allowed: 'END as the last line',
      message: 'END closes the program: this line and those below it are not assembled.',
    })
  }
}

/** `4000: 3E 05`, `3E 05`: a line of bytes that begins with a digit and therefore is no assembly. */
function isDumpLine({ source, tokens, faults }: SourceLine): boolean {
  const isCandidate = faults.some(({ code }) => code === 'bad-number') || tokens[0]?.kind === 'number'
  return isCandidate && /^\s*(?:[0-9A-F]{4}:?\s+)?[0-9A-F]{2}(?:\s+[0-9A-F]{2})*\s*(?:;.*)?$/i.test(source)
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
