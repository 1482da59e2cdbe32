import { LabelScope } from './label-scope.ts'
import { limits } from './limits.ts'
import type { LexedLine, Token } from './token.ts'

/** A macro call or REPT that lines came from. `line` is where it stands in the text. */
export interface Call {
  readonly title: string
  readonly line: number
  readonly outer: Call | null
}

/** A line in the order in which lines are assembled. */
export interface SourceLine extends LexedLine {
  /** Left out for a line of the text itself. */
  readonly call?: Call
}

/** What names stand for while the lines of one macro call or REPT round are read. */
type Words = Map<string, readonly Token[]>

interface Frame {
  readonly lines: readonly LexedLine[]
  readonly call: Call | null
  readonly parameters: ReadonlyMap<string, readonly Token[]>
  readonly localLabels: ReadonlySet<string>
  locals: Words
  scope: LabelScope
  index: number
  roundsLeft: number
}

/** Why an expansion did not take place. */
export type Refusal = 'too-deep' | 'too-long'

/** Gives the lines of a text one by one, with those of macros and REPT where they are called. */
export class LineReader {
  readonly #frames: Frame[]
  #lines = 0
  #tokens = 0
  #names = 0
  #isSpent = false

  constructor(lines: readonly LexedLine[]) {
    const none: ReadonlySet<string> = new Set()
    const about = { call: null, parameters: new Map(), locals: new Map(), localLabels: none }
    this.#frames = [{ lines, ...about, scope: new LabelScope(null, none, 0), index: 0, roundsLeft: 0 }]
  }

  /** How many macros and REPTs the line given last stands in. */
  get depth(): number {
    return this.#frames.length - 1
  }

  /** Whom names with a dot belong to in the line given last. */
  get scope(): LabelScope {
    const frame = this.#frames.at(-1)
    if (frame === undefined) throw new Error('The text itself is never left')
    return frame.scope
  }

  /** True once an expansion was cut off for being too long; from then on none takes place. */
  get isSpent(): boolean {
    return this.#isSpent
  }

  /** The next line of the text or of the macro being read; null at the end of that one, and of a REPT's last round. */
  nextHere(): SourceLine | null {
    const frame = this.#frames.at(-1)
    const line = frame?.lines[frame.index]
    if (frame === undefined || line === undefined) return null
    frame.index += 1
    if (frame.call === null) return line
    this.#lines += 1
    const tokens = substituted(line, frame)
    this.#tokens += tokens.length
    const source = tokens === line.tokens ? line.source : spliced(line, frame)
    if (this.#lines > limits.expandedLines || this.#tokens > limits.expandedTokens) this.#isSpent = true
    return { ...line, tokens, source, call: frame.call }
  }

  /** Leaves a macro or REPT that is read to its end, or begins its next round. False for the text itself. */
  leave(): boolean {
    const frame = this.#frames.at(-1)
    if (frame === undefined || frame.call === null) return false
    frame.roundsLeft -= 1
    this.#lines += 1
    if (this.#lines > limits.expandedLines) this.#isSpent = true
    if (frame.roundsLeft > 0 && !this.#isSpent) {
      frame.index = 0
      frame.locals = new Map()
      frame.scope = this.#newScope(this.#frames.at(-2)?.scope ?? null, frame.localLabels)
    } else this.#frames.pop()
    return true
  }

  /** Leaves all macros and REPTs at once. */
  leaveAll(): void {
    this.#frames.length = 1
  }

  /** Reads `lines` next, `rounds` times over, with names replaced. `localLabels` are the labels with a dot in them. */
  enter(
    lines: readonly LexedLine[],
    call: Call,
    parameters: ReadonlyMap<string, readonly Token[]>,
    rounds: number,
    localLabels: ReadonlySet<string>,
  ): Refusal | null {
    if (this.#isSpent) return 'too-long'
    if (this.depth >= limits.depth) return 'too-deep'
    if (rounds <= 0) return null
    const scope = this.#newScope(this.scope, localLabels)
    this.#frames.push({ lines, call, parameters, localLabels, locals: new Map(), scope, index: 0, roundsLeft: rounds })
    return null
  }

  #newScope(parent: LabelScope | null, localLabels: ReadonlySet<string>): LabelScope {
    this.#names += 1
    return new LabelScope(parent, localLabels, this.#names)
  }

  /** Makes names belong to this call or round alone. False outside of one. */
  declareLocal(name: Token): boolean {
    const frame = this.#frames.at(-1)
    if (frame === undefined || frame.call === null) return false
    this.#names += 1
    // No name of a source text has a blank in it.
    frame.locals.set(name.key, [{ ...name, key: `${name.key} ${this.#names}` }])
    return true
  }
}

function standIn(token: Token, frame: Frame): readonly Token[] | undefined {
  return token.kind === 'name' ? (frame.parameters.get(token.key) ?? frame.locals.get(token.key)) : undefined
}

function substituted(line: LexedLine, frame: Frame): readonly Token[] {
  if (frame.parameters.size + frame.locals.size === 0) return line.tokens
  if (!line.tokens.some((token) => standIn(token, frame) !== undefined)) return line.tokens
  const out: Token[] = []
  for (const token of line.tokens) {
    const stand = standIn(token, frame)
    if (stand === undefined) out.push(token)
    // The place of a local name is where it is used, not where it was declared.
    else if (frame.locals.has(token.key)) out.push({ ...token, key: stand[0]?.key ?? token.key })
    else out.push(...stand)
    if (out.length > limits.lineTokens) break
  }
  return out
}

/** The line as it would read with the macro's parameters written out. */
function spliced(line: LexedLine, frame: Frame): string {
  let out = ''
  let from = 0
  for (const token of line.tokens) {
    const stand = token.kind === 'name' ? frame.parameters.get(token.key) : undefined
    if (stand === undefined) continue
    out += line.source.slice(from, token.column - 1) + written(stand)
    from = token.column - 1 + token.length
  }
  return out + line.source.slice(from)
}

function written(tokens: readonly Token[]): string {
  return tokens.map((token) => (token.kind === 'text' ? `"${token.text.replaceAll('"', '""')}"` : token.text)).join('')
}
