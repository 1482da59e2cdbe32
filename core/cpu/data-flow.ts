import { definitionOf } from './decode.ts'
import { applyOperator, readEffect, type Expression, type RegisterName, type Statement } from './effect.ts'
import { flagTables } from './flags.ts'
import type { Addr, Byte } from './instruction.ts'
import { flagsOf, isKept } from './kept-bits.ts'
import { hidden, pairs, partOf, partsOf } from './register-parts.ts'
import { operandOf, registerOf, type Before } from './state-before.ts'
import { acceptance } from './table-control.ts'

/** What goes into a value. */
export interface Sources {
  /** A bit for each of `registerParts`. */
  readonly parts: number
  /** A bit for each byte that the instruction reads from memory, in the order of reading. */
  readonly reads: number
  readonly isInput: boolean
}

/** An address on the bus, and what it is made of. */
export interface BusAccess {
  readonly address: (at: Before) => Addr
  readonly addressFrom: Sources
}

/** Where each value goes in one instruction, taken from its effect in the table. */
export interface DataFlow {
  readonly text: string
  /** How many bytes it has. */
  readonly length: number
  /** A bit for each of `registerParts` that it sets, or may set where a condition decides. */
  readonly writes: number
  /** What goes into the new value of a part; for a part that it does not set, the part itself. */
  readonly from: (part: number) => Sources
  readonly memoryReads: readonly BusAccess[]
  readonly memoryWrites: readonly (BusAccess & { readonly valueFrom: Sources })[]
  readonly portReads: readonly BusAccess[]
  readonly portWrites: readonly (BusAccess & { readonly valueFrom: Sources })[]
  /** Where PC goes beside the next instruction; null for none. `when` is what a condition looks at, null without one. */
  readonly jump: {
    readonly when: Sources | null
    readonly to: (at: Before) => Addr
    readonly toFrom: Sources
    /** The target is known from the bytes alone. */
    readonly isFixed: boolean
  } | null
}

const known = new Map<string, DataFlow>()

/** The flow of data in the instruction whose bytes are `byteAt(0)`, `byteAt(1)` …. */
export function dataFlow(byteAt: (offset: number) => Byte): DataFlow {
  const { text, encoding, effect } = definitionOf(byteAt)
  const key = encoding.join(' ')
  const before = known.get(key)
  if (before !== undefined) return before
  const flow = new Tracing(encoding).flow(text, readEffect(effect))
  known.set(key, flow)
  return flow
}

/** The flow of data where the CPU accepts an interrupt in mode 1 (and, but for the address it goes to, in any mode). */
export function interruptFlow(): DataFlow {
  acceptanceFlow ??= new Tracing([]).flow('', readEffect(acceptance.mode1.effect))
  return acceptanceFlow
}
let acceptanceFlow: DataFlow | undefined

const nothing: Sources = { parts: 0, reads: 0, isInput: false }
const all = 0xffff_ffff
const number = (value: number): Expression => ({ kind: 'number', value })

function both(a: Sources, b: Sources): Sources {
  if (a === nothing) return b
  return b === nothing ? a : { parts: a.parts | b.parts, reads: a.reads | b.reads, isInput: a.isInput || b.isInput }
}

/** Follows the values through one effect: every expression is put in terms of what was there before. */
class Tracing {
  readonly #encoding: readonly (Byte | string)[]
  readonly #locals = new Map<string, Expression>()
  /** Registers set so far, by their halves, and F and words that have none. */
  readonly #set = new Map<string, Expression>()
  readonly #reads: BusAccess[] = []
  readonly #readNames = new Map<string, number>()
  readonly #writes: (BusAccess & { valueFrom: Sources })[] = []
  readonly #inputs: BusAccess[] = []
  readonly #outputs: (BusAccess & { valueFrom: Sources })[] = []
  #jump: { condition: Expression | null; to: Expression } | null = null

  constructor(encoding: readonly (Byte | string)[]) {
    this.#encoding = encoding
  }

  flow(text: string, statements: readonly Statement[]): DataFlow {
    this.#body(statements, null)
    const sources = new Map<number, Sources>()
    for (const [name, value] of this.#set) {
      if (name === 'F') {
        for (let bit = 0; bit < 8; bit++) if (!isKept(value, bit)) sources.set(bit, this.sourcesOf(value, 1 << bit))
      } else if (name in partOf) {
        const part = partOf[name] ?? 0
        sources.set(part, both(sources.get(part) ?? nothing, this.sourcesOf(value, all)))
      }
    }
    const jump = this.#jump
    let writes = 0
    for (const part of sources.keys()) writes |= 1 << part
    return {
      text,
      length: this.#encoding.length,
      writes,
      from: (part) => sources.get(part) ?? { parts: 1 << part, reads: 0, isInput: false },
      memoryReads: this.#reads,
      memoryWrites: this.#writes,
      portReads: this.#inputs,
      portWrites: this.#outputs,
      jump:
        jump === null
          ? null
          : {
              when: jump.condition === null ? null : this.sourcesOf(jump.condition, all),
              to: (at) => this.#valueOf(jump.to, at) & 0xffff,
              toFrom: this.sourcesOf(jump.to, all),
              isFixed: isFixed(jump.to),
            },
    }
  }

  #body(statements: readonly Statement[], condition: Expression | null): void {
    for (const statement of statements) {
      switch (statement.kind) {
        case 'let':
          this.#locals.set(statement.local, this.#resolved(statement.value))
          break
        case 'set':
          this.#setRegister(statement.register, this.#resolved(statement.value), condition)
          break
        case 'read':
        case 'input': {
          const list = statement.kind === 'read' ? this.#reads : this.#inputs
          if (statement.kind === 'read') this.#readNames.set(statement.local, list.length)
          list.push(this.#access(this.#resolved(statement.address)))
          break
        }
        case 'write':
        case 'output': {
          const list = statement.kind === 'write' ? this.#writes : this.#outputs
          const valueFrom = this.sourcesOf(this.#resolved(statement.value), all)
          list.push({ ...this.#access(this.#resolved(statement.address)), valueFrom })
          break
        }
        case 'if':
        case 'when':
          this.#body(statement.body, this.#resolved(statement.condition))
          break
        case 'idle':
        case 'halt':
        case 'holdInterrupts':
        case 'interruptFlagRead':
          break
      }
    }
  }

  #access(address: Expression): BusAccess {
    return {
      address: (at) => this.#valueOf(address, at) & 0xffff,
      addressFrom: this.sourcesOf(address, 0xffff),
    }
  }

  #setRegister(name: RegisterName, value: Expression, condition: Expression | null): void {
    if (name === 'PC') {
      this.#jump = { condition, to: value }
      this.#set.set('PC', value)
      return
    }
    if (name === 'IFF1' || name === 'IFF2') this.#set.set('IFF', value)
    if (hidden.includes(name)) return
    const halves = pairs[name]
    if (halves === undefined) this.#put(name, value, condition)
    else {
      this.#put(halves[0], { kind: 'binary', operator: '>>', left: low(value, 16), right: number(8) }, condition)
      this.#put(halves[1], low(value, 8), condition)
    }
  }

  #put(name: string, value: Expression, condition: Expression | null): void {
    const old = this.#named(name)
    this.#set.set(name, condition === null ? value : { kind: 'choose', condition, then: value, otherwise: old })
  }

  /** A register as it is now, in terms of what was there before. */
  #named(name: string): Expression {
    const halves = pairs[name]
    if (halves === undefined) return this.#set.get(name) ?? { kind: 'register', name: name as RegisterName }
    if (!halves.some((half) => this.#set.has(half))) return { kind: 'register', name: name as RegisterName }
    const high: Expression = { kind: 'binary', operator: '<<', left: low(this.#named(halves[0]), 8), right: number(8) }
    return { kind: 'binary', operator: '|', left: high, right: low(this.#named(halves[1]), 8) }
  }

  #resolved(expression: Expression): Expression {
    switch (expression.kind) {
      case 'number':
      case 'operand':
        return expression
      case 'local':
        return this.#locals.get(expression.name) ?? expression
      case 'register':
        return this.#named(expression.name)
      case 'not':
        return { kind: 'not', of: this.#resolved(expression.of) }
      case 'flags':
        return { ...expression, index: this.#resolved(expression.index) }
      case 'binary':
        return { ...expression, left: this.#resolved(expression.left), right: this.#resolved(expression.right) }
      case 'choose':
        return {
          kind: 'choose',
          condition: this.#resolved(expression.condition),
          then: this.#resolved(expression.then),
          otherwise: this.#resolved(expression.otherwise),
        }
    }
  }

  /** What the bits in `mask` of a resolved expression are made of. */
  sourcesOf(expression: Expression, mask: number): Sources {
    if (mask === 0) return nothing
    switch (expression.kind) {
      case 'number':
      case 'operand':
        return nothing
      case 'local': {
        const read = this.#readNames.get(expression.name)
        if (read === undefined) return { ...nothing, isInput: true }
        return (mask & 0xff) === 0 ? nothing : { ...nothing, reads: 1 << read }
      }
      case 'register':
        return { ...nothing, parts: partsOf(expression.name, mask) }
      case 'not':
        return this.sourcesOf(expression.of, all)
      case 'flags':
        return (flagsOf(expression.table) & mask) === 0 ? nothing : this.sourcesOf(expression.index, all)
      case 'choose': {
        const { condition, then, otherwise } = expression
        if (cannotBe(then, mask) && cannotBe(otherwise, mask)) return nothing
        const either = both(this.sourcesOf(then, mask), this.sourcesOf(otherwise, mask))
        return both(this.sourcesOf(condition, all), either)
      }
      case 'binary':
        return this.#sourcesOfBinary(expression, mask)
    }
  }

  #sourcesOfBinary(expression: Extract<Expression, { kind: 'binary' }>, mask: number): Sources {
    const { operator, left, right } = expression
    const sides = (a: number, b: number): Sources => both(this.sourcesOf(left, a), this.sourcesOf(right, b))
    switch (operator) {
      case '&':
        if (right.kind === 'number') return this.sourcesOf(left, mask & right.value)
        return left.kind === 'number' ? this.sourcesOf(right, mask & left.value) : sides(mask, mask)
      case '^':
      case '|':
        // A value against itself: XOR A, CP A.
        if (operator === '^' && isSame(left, right)) return nothing
        return sides(mask, mask)
      case '-':
        if (isSame(left, right)) return nothing
        return sides(upTo(mask), upTo(mask))
      case '+':
        return sides(upTo(mask), upTo(mask))
      case '<<':
        return right.kind === 'number' ? this.sourcesOf(left, mask >>> right.value) : sides(all, all)
      case '>>':
        return right.kind === 'number' ? this.sourcesOf(left, (mask << right.value) >>> 0) : sides(all, all)
      default:
        return (mask & 1) === 0 ? nothing : sides(all, all)
    }
  }

  #valueOf(expression: Expression, at: Before): number {
    switch (expression.kind) {
      case 'number':
        return expression.value
      case 'operand':
        return operandOf(expression.name, this.#encoding, at.bytes)
      case 'local': {
        const read = this.#reads[this.#readNames.get(expression.name) ?? -1]
        return read === undefined ? 0 : at.read(read.address(at))
      }
      case 'register':
        return registerOf(expression.name, at)
      case 'not':
        return Number(this.#valueOf(expression.of, at) === 0)
      case 'flags':
        return flagTables[expression.table].flags(this.#valueOf(expression.index, at))
      case 'choose':
        return this.#valueOf(this.#valueOf(expression.condition, at) === 0 ? expression.otherwise : expression.then, at)
      case 'binary':
        return applyOperator(
          expression.operator,
          this.#valueOf(expression.left, at),
          this.#valueOf(expression.right, at),
        )
    }
  }
}

const low = (value: Expression, bits: 8 | 16): Expression => ({
  kind: 'binary',
  operator: '&',
  left: value,
  right: number(2 ** bits - 1),
})

/** All bits from 0 to the highest of `mask`: a sum's bit depends on every bit below it. */
function upTo(mask: number): number {
  return mask === 0 ? 0 : (2 ** (32 - Math.clz32(mask)) - 1) >>> 0
}

function isSame(a: Expression, b: Expression): boolean {
  return a === b || (a.kind === 'register' && b.kind === 'register' && a.name === b.name)
}

/** True where a value's bits in `mask` are 0 whatever comes. */
function cannotBe(expression: Expression, mask: number): boolean {
  return expression.kind === 'number' && (expression.value & mask) === 0
}

function isFixed(expression: Expression): boolean {
  switch (expression.kind) {
    case 'number':
    case 'operand':
      return true
    case 'register':
      return expression.name === 'PC'
    case 'binary':
      return isFixed(expression.left) && isFixed(expression.right)
    default:
      return false
  }
}
