import { showCount } from '../image/index.ts'
import { ConditionStack } from './conditions.ts'
import { Definitions } from './definitions.ts'
import { evaluate } from './evaluate.ts'
import { isLocalName } from './label-scope.ts'
import { limits } from './limits.ts'
import type { LineReader, SourceLine } from './line-reader.ts'
import { Macros } from './macros.ts'
import type { Notes } from './notes.ts'
import { Operations } from './operations.ts'
import { sizeOf, type AssembledLine, type Work } from './record.ts'
import { parseStatement, type Statement } from './statement.ts'
import type { SymbolTable } from './symbols.ts'
import type { Token } from './token.ts'
import { unknownOperation } from './unknown-operation.ts'

const nothing: Work = { kind: 'nothing' }

/** Reads all lines, expands macros, and gives each line its address and each name its definition. */
export class FirstPass {
  readonly lines: AssembledLine[] = []
  readonly #reader: LineReader
  readonly #notes: Notes
  readonly #definitions: Definitions
  readonly #operations: Operations
  readonly #macros: Macros
  readonly #conditions: ConditionStack
  readonly #isMacro = (key: string): boolean => this.#macros.has(key)
  #address: number
  #isEnded = false
  #isTextBehindEndTold = false
  #isSpentTold = false

  constructor(reader: LineReader, symbols: SymbolTable, notes: Notes, origin: number) {
    this.#reader = reader
    this.#notes = notes
    this.#address = origin
    const definitions = (this.#definitions = new Definitions(symbols, notes))
    const operations = (this.#operations = new Operations(notes))
    this.#conditions = new ConditionStack(notes)
    this.#macros = new Macros({ reader, notes, definitions, operations, list: (line) => this.#list(line) })
  }

  run(): void {
    for (;;) {
      if (this.#reader.isSpent && !this.#isSpentTold) this.#stopExpanding()
      const line = this.#reader.nextHere()
      if (line !== null) this.#line(line)
      else {
        this.#conditions.closeAbove(this.#reader.depth)
        if (!this.#reader.leave()) return
      }
    }
  }

  /** What can be told only when every line has been worked out. */
  finish(): void {
    this.#definitions.tellSlips()
  }

  #line(line: SourceLine): void {
    this.#notes.call = line.call ?? null
    if (this.#isEnded) return this.#lineBehindEnd(line)
    const statement = this.#withFullNames(parseStatement(line.tokens, this.#isMacro))
    const { label, operation, name } = statement
    if (operation !== null && name !== null && this.#condition(line, operation, name, statement.rest)) return
    if (!this.#conditions.isActive) return this.#list(line)
    if (isDumpLine(line)) return this.#refuseDump(line)
    this.#notes.spelling(line)
    if (line.tokens.length > limits.lineTokens) this.#noteLongLine(line)
    if (label !== null && statement.isBareLabel) this.#definitions.checkBareLabel(label)
    if (operation !== null && this.#isPlacedByItself(line, operation, statement)) return
    const start = this.#address
    if (label !== null) this.#definitions.label(label, start)
    const work = operation === null || line.faults.length > 0 ? nothing : this.#work(line, statement, operation)
    const size = sizeOf(work)
    this.#keep(line, label !== null || size > 0 ? start : null, label, work)
    this.#address += size
  }

  /** The statement with its names with a dot in full. A label of the line itself is above its operands. */
  #withFullNames(statement: Statement): Statement {
    const { label, name, rest } = statement
    if (!this.#conditions.isActive || name === 'MACRO' || name === 'LOCAL') return statement
    const full = (token: Token): Token => (isLocalName(token) ? this.#reader.scope.resolve(token) : token)
    const own = label === null ? null : full(label)
    const opens = label !== null && !isLocalName(label) && name !== 'EQU' && name !== 'DEFL'
    if (opens) this.#reader.scope.open(label)
    return own !== label || rest.some(isLocalName) ? { ...statement, label: own, rest: rest.map(full) } : statement
  }

  #keep(line: SourceLine, address: number | null, label: Token | null, work: Work): void {
    this.lines.push({ line, address, label: label?.text ?? null, work })
  }

  #list(line: SourceLine): void {
    this.#keep(line, null, null, nothing)
  }

  /** The directives that say themselves what their label stands for; true when the line was one of them. */
  #isPlacedByItself(line: SourceLine, operation: Token, statement: Statement): boolean {
    switch (statement.name) {
      case 'MACRO':
        this.#macros.define(line, operation, statement)
        return true
      case 'REPT':
        this.#repeat(line, operation, statement)
        return true
      case 'EQU':
        this.#assign(line, operation, statement, 'equ')
        return true
      case 'DEFL':
        this.#assign(line, operation, statement, 'variable')
        return true
      case 'ORG':
        this.#origin(line, operation, statement)
        return true
      default:
        return false
    }
  }

  #work(line: SourceLine, { name, rest }: Statement, operation: Token): Work {
    if (this.#macros.call(operation, rest, line.call ?? null)) return nothing
    switch (name) {
      case null:
        this.#notes.error(operation, () =>
          unknownOperation(operation, rest, (word, words) =>
            this.#notes.nearest(word, [...words, ...this.#macros.names()]),
          ),
        )
        return nothing
      case 'DB':
        return this.#operations.data(1, operation, rest)
      case 'DW':
        return this.#operations.data(2, operation, rest)
      case 'DS':
        return this.#operations.fill(operation, rest, this.#address)
      case 'END':
        return this.#end(operation, rest)
      case 'ENDM':
        this.#operations.stray(operation, 'a MACRO or REPT')
        return nothing
      case 'LOCAL':
        this.#macros.local(operation, rest)
        return nothing
      default:
        return this.#operations.instruction(name, operation, rest, this.#address)
    }
  }

  #end(operation: Token, rest: readonly Token[]): Work {
    this.#isEnded = true
    this.#reader.leaveAll()
    const expression = rest.length === 0 ? null : this.#operations.expression(rest, operation)
    return expression === null ? nothing : { kind: 'end', expression }
  }

  /** A label in the line of an ORG is the address that the ORG sets. */
  #origin(line: SourceLine, operation: Token, { label, rest }: Statement): void {
    const value = this.#operations.early(rest, operation, 'The address of an ORG', this.#address)
    if (value !== null && (value < 0 || value > 0xffff))
      this.#notes.error(rest[0] ?? operation, {
        code: 'does-not-fit',
        found: String(value),
        allowed: '0000H to FFFFH',
        message: `${value} is no address. Addresses go from 0000H to FFFFH.`,
      })
    else if (value !== null) this.#address = value
    if (label !== null) this.#definitions.label(label, this.#address)
    this.#keep(line, this.#address, label, nothing)
  }

  #assign(line: SourceLine, operation: Token, { label, rest }: Statement, kind: 'equ' | 'variable'): void {
    const here = this.#address
    const expression = this.#operations.expression(rest, operation)
    if (label === null)
      this.#operations.missing(operation, `${operation.text} needs a name before it, as in COUNT ${operation.text} 5.`)
    if (label === null || expression === null) {
      // The name exists all the same: only its value is missing, and that has been told.
      if (label !== null) this.#definitions.enter(label, { kind, value: null, expression: null, here })
      return this.#list(line)
    }
    const value = evaluate(expression, this.#notes.silentScope(here))
    const waiting = kind === 'equ' && value === null ? expression : null
    const definition = this.#definitions.enter(label, { kind, value, expression: waiting, here })
    const isVariable = kind === 'variable' && definition !== null
    this.#keep(line, null, null, isVariable ? { kind: 'variable', definition, expression } : nothing)
  }

  /** IF and its companions; true when the line was one of them. */
  #condition(line: SourceLine, operation: Token, name: string, rest: readonly Token[]): boolean {
    const { depth } = this.#reader
    switch (name) {
      case 'ELSE':
        this.#conditions.otherwise(operation, depth)
        break
      case 'ENDIF':
        this.#conditions.close(operation, depth)
        break
      case 'IF':
      case 'IFDEF':
      case 'IFNDEF': {
        const { isActive } = this.#conditions
        if (isActive) this.#notes.spelling(line)
        this.#conditions.open(operation, depth, isActive && this.#holds(name, operation, rest))
        break
      }
      default:
        return false
    }
    this.#list(line)
    return true
  }

  #holds(name: 'IF' | 'IFDEF' | 'IFNDEF', operation: Token, rest: readonly Token[]): boolean {
    if (name === 'IF') {
      const value = this.#operations.early(rest, operation, 'The condition of an IF', this.#address)
      return value !== null && value !== 0
    }
    const [word, extra] = rest
    if (word?.kind !== 'name') this.#operations.missing(operation, `${operation.text} needs a name behind it.`)
    else if (extra !== undefined) this.#operations.extra(extra, `${operation.text} takes one name.`)
    return word !== undefined && this.#definitions.has(word) === (name === 'IFDEF')
  }

  #repeat(line: SourceLine, operation: Token, { label, rest }: Statement): void {
    const start = this.#address
    if (label !== null) this.#definitions.label(label, start)
    this.#keep(line, label === null ? null : start, label, nothing)
    this.#macros.repeat(line, operation, this.#operations.early(rest, operation, 'The rounds of a REPT', start))
  }

  #stopExpanding(): void {
    this.#isSpentTold = true
    let call = this.#notes.call
    while (call !== null && call.outer !== null) call = call.outer
    this.#notes.call = null
    const most = `${showCount(limits.expandedLines, 'line')} or ${showCount(limits.expandedTokens, 'word')}`
    this.#notes.error(
      { line: call?.line ?? 1, column: 1, length: 1 },
      {
        code: 'expansion-too-long',
        found: `more than ${most}`,
        allowed: `up to ${most}`,
        message: `The macros and REPT of this program come to more than ${most}. From here on none is expanded.`,
      },
    )
    this.#reader.leaveAll()
    this.#conditions.closeAbove(1)
  }

  #lineBehindEnd(line: SourceLine): void {
    this.#list(line)
    const [first] = line.tokens
    if (first === undefined || this.#isTextBehindEndTold) return
    this.#isTextBehindEndTold = true
    this.#notes.warning(first, {
      code: 'after-end',
      found: 'text behind END',
      allowed: 'END as the last line',
      message: 'END closes the program: this line and those below it are not assembled.',
    })
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
    this.#list(line)
  }

  #noteLongLine(line: SourceLine): void {
    const most = showCount(limits.lineTokens, 'word')
    this.#notes.error(line.tokens[0] ?? { line: line.line, column: 1, length: 1 }, {
      code: 'line-too-long',
      found: `more than ${most}`,
      allowed: `up to ${most}`,
      message: `With its parameters put in, this line has more than ${most} and marks.`,
    })
  }
}

/** `4000: 3E 05`, `3E 05`: a line of bytes that begins with a digit and therefore is no assembly. */
function isDumpLine({ source, tokens, faults }: SourceLine): boolean {
  const isCandidate = tokens[0]?.kind === 'number' || (faults.length > 0 && faults[0]?.code === 'bad-number')
  return isCandidate && /^\s*(?:[0-9A-F]{4}:?\s+)?[0-9A-F]{2}(?:\s+[0-9A-F]{2})*\s*(?:;.*)?$/i.test(source)
}
