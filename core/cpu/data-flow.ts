import type { Registers } from './cpu.ts'
import { definitionOf } from './decode.ts'
import {
  applyOperator,
  bitsOf,
  readEffect,
  registerBits,
  type Expression,
  type RegisterName,
  type Statement,
} from './effect.ts'
import { flagTables, type FlagTable } from './flags.ts'
import type { Addr, Byte } from './instruction.ts'
import { acceptance } from './table-control.ts'

/**
 * What a program can keep a value in, beside memory: the flags from bit 0 of F on, then registers by halves. The second set
 * has its F in one piece. The number of a part is its place here; there are 31, so that a set of them is one whole number.
 */
export const registerParts = [
  ...['CF', 'NF', 'PF', 'XF', 'HF', 'YF', 'ZF', 'SF'],
  ...['A', 'B', 'C', 'D', 'E', 'H', 'L', 'IXH', 'IXL', 'IYH', 'IYL', 'I', 'R', 'SP', 'IFF'],
  ...["A'", "F'", "B'", "C'", "D'", "E'", "H'", "L'"],
] as const satisfies readonly string[]

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

/** The state before an instruction: what its addresses are worked out from. */
export interface Before {
  readonly registers: Readonly<Registers>
  readonly bytes: readonly Byte[]
  readonly read: (address: Addr) => Byte
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

const partOf = Object.fromEntries(registerParts.map((name, part) => [name, part]))
const pairs: Readonly<Record<string, readonly [high: string, low: string]>> = {
  ...{ AF: ['A', 'F'], BC: ['B', 'C'], DE: ['D', 'E'], HL: ['H', 'L'], IX: ['IXH', 'IXL'], IY: ['IYH', 'IYL'] },
  ...{ "AF'": ["A'", "F'"], "BC'": ["B'", "C'"], "DE'": ["D'", "E'"], "HL'": ["H'", "L'"] },
}
/** Latches that no program can name: what goes into them shows at most in bits 5 and 3 of F. */
const hidden: readonly string[] = ['WZ', 'Q', 'PC', 'IM']

/** Bits that a table of flags can set. */
function flagsOf(table: FlagTable): number {
  const before = possible.get(table)
  if (before !== undefined) return before
  const { bits, flags } = flagTables[table]
  let set = 0
  for (let index = 0; index < 2 ** bits; index++) set |= flags(index)
  possible.set(table, set)
  return set
}
const possible = new Map<FlagTable, number>()

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

/** True where bit `bit` of a new F is that of the old one. */
function isKept(value: Expression, bit: number): boolean {
  switch (value.kind) {
    case 'register':
      return value.name === 'F'
    case 'binary': {
      const { operator, left, right } = value
      if (operator === '&' && right.kind === 'number') return (right.value & (1 << bit)) !== 0 && isKept(left, bit)
      if (operator !== '|') return false
      return (isKept(left, bit) && isClear(right, bit)) || (isKept(right, bit) && isClear(left, bit))
    }
    case 'choose':
      return isKept(value.then, bit) && isKept(value.otherwise, bit)
    default:
      return false
  }
}

/** True where bit `bit` is 0 whatever comes, as far as the form of the expression tells. */
function isClear(value: Expression, bit: number): boolean {
  if (bit >= bitsOf(value)) return true
  switch (value.kind) {
    case 'number':
      return (value.value & (1 << bit)) === 0
    case 'flags':
      return (flagsOf(value.table) & (1 << bit)) === 0
    case 'choose':
      return isClear(value.then, bit) && isClear(value.otherwise, bit)
    case 'local':
    case 'not':
    case 'register':
    case 'operand':
      return false
    case 'binary': {
      const { operator, left, right } = value
      switch (operator) {
        case '&':
          return isClear(left, bit) || isClear(right, bit)
        case '|':
        case '^':
          return isClear(left, bit) && isClear(right, bit)
        case '<<':
          return right.kind === 'number' && (bit < right.value || isClear(left, bit - right.value))
        case '>>':
          return right.kind === 'number' && bit + right.value < 31 && isClear(left, bit + right.value)
        default:
          return false
      }
    }
  }
}

function partsOf(name: RegisterName, mask: number): number {
  if (hidden.includes(name)) return 0
  if (name === 'F') return mask & 0xff
  if (name === 'IFF1' || name === 'IFF2') return 1 << (partOf['IFF'] ?? 0)
  const halves = pairs[name]
  if (halves === undefined) return (mask & (2 ** registerBits[name] - 1)) === 0 ? 0 : 1 << (partOf[name] ?? 0)
  const high = (mask & 0xff00) === 0 ? 0 : 1 << (partOf[halves[0]] ?? 0)
  if (name === 'AF') return high | (mask & 0xff)
  return high | ((mask & 0xff) === 0 ? 0 : 1 << (partOf[halves[1]] ?? 0))
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

function operandOf(name: string, encoding: readonly (Byte | string)[], bytes: readonly Byte[]): number {
  const byteOf = (operand: string): Byte => bytes[encoding.indexOf(operand)] ?? 0
  if (name === 'nn') return byteOf('nl') | (byteOf('nh') << 8)
  const value = byteOf(name)
  return name === 'n' || name === 'bus' ? value : (value ^ 0x80) - 0x80
}

function registerOf(name: RegisterName, { registers, bytes }: Before): number {
  const half = (pair: number, isHigh: boolean): number => (isHigh ? pair >> 8 : pair & 0xff)
  switch (name) {
    case 'AF':
    case 'BC':
    case 'DE':
    case 'HL':
    case 'IX':
    case 'IY':
    case 'SP':
    case 'WZ':
    case 'I':
    case 'R':
    case 'Q':
    case 'IM':
      return registers[name.toLowerCase() as 'af']
    // Behind the instruction, as the table has it.
    case 'PC':
      return (registers.pc + bytes.length) & 0xffff
    case "AF'":
    case "BC'":
    case "DE'":
    case "HL'":
      return registers[name.toLowerCase().replace("'", '_') as 'af_']
    case 'IFF1':
    case 'IFF2':
      return Number(registers[name.toLowerCase() as 'iff1'])
    case 'IXH':
    case 'IXL':
    case 'IYH':
    case 'IYL':
      return half(registers[name.slice(0, 2).toLowerCase() as 'ix'], name.endsWith('H'))
    default: {
      const pair = Object.keys(pairs).find((each) => each.length === 2 && each.includes(name)) ?? 'AF'
      return half(registers[pair.toLowerCase() as 'af'], pair.startsWith(name))
    }
  }
}
