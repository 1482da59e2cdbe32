import { showCount } from '../image/index.ts'
import type { Definitions } from './definitions.ts'
import { isLocalName } from './label-scope.ts'
import { limits } from './limits.ts'
import type { Call, LineReader, SourceLine } from './line-reader.ts'
import type { Notes } from './notes.ts'
import { registerOf } from './operand.ts'
import type { Operations } from './operations.ts'
import { parseStatement, splitAtCommas, type Statement } from './statement.ts'
import type { LexedLine, Token } from './token.ts'

interface Macro {
  readonly name: string
  readonly parameters: readonly Token[]
  readonly body: readonly LexedLine[]
}

/** What macros and repeats need of the pass that reads the lines. */
export interface MacroContext {
  readonly reader: LineReader
  readonly notes: Notes
  readonly definitions: Definitions
  readonly operations: Operations
  /** Puts a line into the listing that makes no bytes. */
  list(line: SourceLine): void
}

/** The macros of a program: their definitions, their calls, and REPT, which is a macro without a name. */
export class Macros {
  readonly #known = new Map<string, Macro>()
  readonly #localLabelsOf = new WeakMap<readonly LexedLine[], ReadonlySet<string>>()
  readonly #context: MacroContext

  constructor(context: MacroContext) {
    this.#context = context
  }

  has(key: string): boolean {
    return this.#known.has(key)
  }

  names(): Iterable<string> {
    return this.#known.keys()
  }

  /** NAME MACRO A,B or MACRO NAME A,B, up to its ENDM. */
  define(line: SourceLine, operation: Token, { label, rest }: Statement): void {
    const { notes, definitions, operations } = this.#context
    const [first, second] = rest
    const name = label ?? (first?.kind === 'name' ? first : null)
    const words = label === null ? rest.slice(second?.text === ',' ? 2 : 1) : rest
    const parameters = splitAtCommas(words).flat()
    this.#context.list(line)
    const body = this.#body(operation, true)
    if (name === null) return operations.missing(operation, 'A macro needs a name, as in DELAY MACRO COUNT.')
    const bad = parameters.find((token) => token.kind !== 'name' || registerOf(token) !== null)
    if (bad !== undefined)
      notes.error(bad, {
        code: 'bad-parameter',
        found: bad.text,
        allowed: 'names parted by commas',
        message: `The parameters of a macro are names that mean nothing else, parted by commas; '${bad.text}' is none.`,
      })
    else if (this.has(name.key))
      notes.error(name, {
        code: 'defined-twice',
        found: name.text,
        allowed: 'each macro once',
        message: `The macro ${name.text} is defined twice. Choose another name for one of them.`,
      })
    else if (!definitions.isReserved(name, 'a macro')) this.#known.set(name.key, { name: name.text, parameters, body })
  }

  /** REPT with the number of its rounds, null when that could not be worked out, up to its ENDM. */
  repeat(line: SourceLine, operation: Token, rounds: number | null): void {
    const isNone = rounds === null || rounds <= 0
    const body = this.#body(operation, isNone)
    this.#context.notes.call = line.call ?? null
    if (rounds !== null && rounds < 0)
      this.#context.notes.error(operation, {
        code: 'does-not-fit',
        found: String(rounds),
        allowed: '0 or more',
        message: `REPT cannot go round ${rounds} times.`,
      })
    const call = { title: `REPT ${rounds}`, line: line.line, outer: line.call ?? null }
    if (!isNone) this.#enter(body, call, new Map(), rounds, operation)
  }

  /** True when the operation was the call of a macro. */
  call(operation: Token, rest: readonly Token[], outer: Call | null): boolean {
    const macro = this.#known.get(operation.key)
    if (macro === undefined) return false
    const { operations } = this.#context
    const wanted = macro.parameters.length
    const values = splitAtCommas(rest)
    const there = values.length === 0 ? 'none is' : values.length === 1 ? 'one is' : `${values.length} are`
    const names = macro.parameters.map((token) => token.text).join(', ')
    const sentence = `The macro ${macro.name} takes ${showCount(wanted, 'parameter')}${wanted === 0 ? '' : ` (${names})`}, but ${there} written here.`
    if (values.length > wanted) operations.extra(values[wanted]?.[0] ?? operation, sentence)
    else if (values.length < wanted) operations.missing(operation, sentence)
    else {
      const words = new Map(macro.parameters.map(({ key }, i) => [key, values[i] ?? []] as const))
      this.#enter(macro.body, { title: macro.name, line: operation.line, outer }, words, 1, operation)
    }
    return true
  }

  /** LOCAL: names that each call and each round has for itself. */
  local(operation: Token, rest: readonly Token[]): void {
    const names = splitAtCommas(rest).flat()
    const isPlaced = names.every((token) => token.kind === 'name' && this.#context.reader.declareLocal(token))
    if (!isPlaced) this.#context.operations.stray(operation, 'a macro or REPT')
  }

  /** Lines up to the ENDM that belongs to `operation`. They go into the listing when they are not assembled from here. */
  #body(operation: Token, isListed: boolean): LexedLine[] {
    const { reader, notes } = this.#context
    const body: LexedLine[] = []
    let open = 1
    for (let next = reader.nextHere(); next !== null; next = reader.nextHere()) {
      const { name } = parseStatement(next.tokens, (key) => this.has(key))
      if (name === 'MACRO' || name === 'REPT') open += 1
      if (name === 'ENDM') open -= 1
      if (isListed || open === 0) this.#context.list(next)
      if (open === 0) return body
      body.push(next)
    }
    notes.error(operation, {
      code: 'open-macro',
      found: 'no ENDM',
      allowed: 'an ENDM for each MACRO and REPT',
      message: `The ENDM for this ${operation.text} is missing.`,
    })
    return body
  }

  /** The names with a dot that are labels in these lines, not counting macros and REPTs inside them. */
  #localLabels(body: readonly LexedLine[]): ReadonlySet<string> {
    const known = this.#localLabelsOf.get(body)
    if (known !== undefined) return known
    const found = new Set<string>()
    let open = 0
    for (const { tokens } of body) {
      const { label, name } = parseStatement(tokens, (key) => this.has(key))
      if (open === 0 && label !== null && isLocalName(label)) found.add(label.key)
      if (name === 'MACRO' || name === 'REPT') open += 1
      if (name === 'ENDM') open -= 1
    }
    this.#localLabelsOf.set(body, found)
    return found
  }

  #enter(
    body: readonly LexedLine[],
    call: Call,
    words: ReadonlyMap<string, readonly Token[]>,
    rounds: number,
    at: Token,
  ): void {
    if (this.#context.reader.enter(body, call, words, rounds, this.#localLabels(body)) !== 'too-deep') return
    this.#context.notes.error(at, {
      code: 'too-deep',
      found: `more than ${limits.depth} inside each other`,
      allowed: `up to ${limits.depth}`,
      message: `Macros and REPT may stand up to ${limits.depth} inside each other; here it would be more. Does the macro call itself?`,
    })
  }
}
