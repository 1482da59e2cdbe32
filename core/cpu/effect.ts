import { flagBits, flagTables, type FlagTable } from './flags.ts'
import { parseBody, type BinaryOperator, type Tree, type TreeStatement } from './effect-text.ts'
import { rules } from './rules.ts'

/** Registers that an effect can name, with their width in bits. `Q` can only be read. */
export const registerBits = {
  ...{ A: 8, F: 8, B: 8, C: 8, D: 8, E: 8, H: 8, L: 8, IXH: 8, IXL: 8, IYH: 8, IYL: 8, I: 8, R: 8, Q: 8 },
  ...{ AF: 16, BC: 16, DE: 16, HL: 16, "AF'": 16, "BC'": 16, "DE'": 16, "HL'": 16 },
  ...{ IX: 16, IY: 16, SP: 16, PC: 16, WZ: 16, IFF1: 1, IFF2: 1, IM: 2 },
} as const
export type RegisterName = keyof typeof registerBits
const isRegister = (name: string): name is RegisterName => name in registerBits

/** Operand bytes of the instruction; `d` and `e` signed. `bus` is the byte on the bus while an interrupt is acknowledged. */
const operandBits = { n: 8, nn: 16, d: 32, e: 32, bus: 8 } as const
export type OperandName = keyof typeof operandBits

/** An expression without effects. All numbers are 32-bit integers; comparisons give 1 or 0. */
export type Expression =
  | { readonly kind: 'number'; readonly value: number }
  | { readonly kind: 'register'; readonly name: RegisterName }
  | { readonly kind: 'local'; readonly name: string; readonly bits: number }
  | { readonly kind: 'operand'; readonly name: OperandName }
  | {
      readonly kind: 'binary'
      readonly operator: BinaryOperator
      readonly left: Expression
      readonly right: Expression
    }
  | { readonly kind: 'not'; readonly of: Expression }
  | {
      readonly kind: 'choose'
      readonly condition: Expression
      readonly then: Expression
      readonly otherwise: Expression
    }
  | { readonly kind: 'flags'; readonly table: FlagTable; readonly index: Expression }

/** One step. The machine cycles are `read`, `write`, `input`, `output` and `idle`, in the order of their coming. */
export type Statement =
  | { readonly kind: 'let'; readonly local: string; readonly value: Expression }
  | { readonly kind: 'set'; readonly register: RegisterName; readonly value: Expression }
  | { readonly kind: 'read' | 'input'; readonly local: string; readonly address: Expression }
  | { readonly kind: 'write' | 'output'; readonly address: Expression; readonly value: Expression }
  | { readonly kind: 'idle' | 'halt' | 'holdInterrupts' | 'interruptFlagRead' }
  /** `when` costs the longer list of machine cycles, `if` costs nothing. */
  | { readonly kind: 'if' | 'when'; readonly condition: Expression; readonly body: readonly Statement[] }

const number = (value: number): Expression => ({ kind: 'number', value })

/** How many low bits of the value can be other than 0; 32 where it may be negative. */
export function bitsOf(expression: Expression): number {
  switch (expression.kind) {
    case 'number':
      return expression.value < 0 ? 32 : 32 - Math.clz32(expression.value)
    case 'register':
      return registerBits[expression.name]
    case 'local':
      return expression.bits
    case 'operand':
      return operandBits[expression.name]
    case 'not':
      return 1
    case 'flags':
      return 8
    case 'choose':
      return Math.max(bitsOf(expression.then), bitsOf(expression.otherwise))
    case 'binary': {
      const left = bitsOf(expression.left)
      const right = bitsOf(expression.right)
      switch (expression.operator) {
        case '&':
          return Math.min(left, right)
        case '|':
        case '^':
          return Math.max(left, right)
        case '+':
          return Math.min(32, Math.max(left, right) + 1)
        case '-':
          return 32
        case '<<':
          return expression.right.kind === 'number' ? Math.min(32, left + expression.right.value) : 32
        case '>>':
          return left === 32 ? 32 : left - (expression.right.kind === 'number' ? expression.right.value : 0)
        default:
          return 1
      }
    }
  }
}

/** The value's low bits, masked only where it can have more. */
export const lowBits = (expression: Expression, bits: number): Expression =>
  bitsOf(expression) <= bits ? expression : binary('&', expression, number(2 ** bits - 1))

const apply: Readonly<Record<BinaryOperator, (left: number, right: number) => number>> = {
  '|': (left, right) => left | right,
  '^': (left, right) => left ^ right,
  '&': (left, right) => left & right,
  '==': (left, right) => Number(left === right),
  '!=': (left, right) => Number(left !== right),
  '<': (left, right) => Number(left < right),
  '>': (left, right) => Number(left > right),
  '<<': (left, right) => left << right,
  '>>': (left, right) => left >> right,
  '+': (left, right) => (left + right) | 0,
  '-': (left, right) => (left - right) | 0,
}
/** The operators' meaning, for the evaluator and for constants. */
export const applyOperator = (operator: BinaryOperator, left: number, right: number): number =>
  apply[operator](left, right)

function binary(operator: BinaryOperator, left: Expression, right: Expression): Expression {
  if (left.kind === 'number' && right.kind === 'number') return number(apply[operator](left.value, right.value))
  return { kind: 'binary', operator, left, right }
}

interface Rule {
  readonly parameters: readonly string[]
  readonly body: readonly TreeStatement[]
}
let known: Map<string, Rule> | undefined

function ruleNamed(name: string): Rule {
  known ??= new Map(
    Object.entries(rules).map(([head, body]) => {
      const [, rule = '', parameters = ''] = /^(\w+)\((.*)\)$/.exec(head) ?? []
      return [rule, { parameters: parameters.split(', ').filter(Boolean), body: parseBody(body) }]
    }),
  )
  const rule = known.get(name)
  if (!rule) throw new Error(`effect: no rule ${name}`)
  return rule
}

/** Puts the rules in their places and every machine cycle on a step of its own, in order. */
class Unfolding {
  readonly #names = new Map<string, number>()
  /** WZ is set and used at once by most; the value is kept so that it need not be read back. */
  #wz: Expression | null = null

  body(statements: readonly TreeStatement[], scope: Map<string, Expression>, out: Statement[]): Expression | null {
    let result: Expression | null = null
    for (const statement of statements) {
      switch (statement.kind) {
        case 'let':
          scope.set(statement.name, this.#keep(statement.name, this.value(statement.value, scope, out), out))
          break
        case 'set':
          this.#set(statement.register, this.value(statement.value, scope, out), out)
          break
        case 'give':
          result = this.value(statement.value, scope, out)
          break
        case 'if':
        case 'when': {
          const condition = this.value(statement.condition, scope, out)
          const body: Statement[] = []
          this.body(statement.body, new Map(scope), body)
          this.#wz = null
          out.push({ kind: statement.kind, condition, body })
          break
        }
        case 'call':
          this.value(statement, scope, out)
          break
        case 'word':
          out.push({ kind: statement.name })
          break
      }
    }
    return result
  }

  value(tree: Tree, scope: Map<string, Expression>, out: Statement[]): Expression {
    switch (tree.kind) {
      case 'number':
        return number(tree.value)
      case 'name':
        return this.#named(tree.name, scope)
      case 'unary': {
        const of = this.value(tree.of, scope, out)
        if (tree.operator === '!') return { kind: 'not', of }
        return tree.operator === '-' ? binary('-', number(0), of) : binary('^', of, number(-1))
      }
      case 'binary': {
        const left = this.value(tree.left, scope, out)
        return binary(tree.operator, left, this.value(tree.right, scope, out))
      }
      case 'choose':
        return {
          kind: 'choose',
          condition: this.value(tree.condition, scope, out),
          then: this.value(tree.then, scope, out),
          otherwise: this.value(tree.otherwise, scope, out),
        }
      case 'call':
        return this.#call(tree.name, tree.values, scope, out)
    }
  }

  #named(name: string, scope: ReadonlyMap<string, Expression>): Expression {
    const local = scope.get(name)
    if (local) return local
    if (name === 'WZ' && this.#wz) return this.#wz
    if (isRegister(name)) return { kind: 'register', name }
    if (name in operandBits) return { kind: 'operand', name: name as OperandName }
    const bit = /^bit([A-Z])$/.exec(name)?.[1]
    if (bit && bit in flagBits) return number(flagBits[bit as keyof typeof flagBits])
    const flag = /^([A-Z])F$/.exec(name)?.[1]
    if (flag && flag in flagBits) {
      const mask = flagBits[flag as keyof typeof flagBits]
      const masked = binary('&', { kind: 'register', name: 'F' }, number(mask))
      return mask === 1 ? masked : binary('>>', masked, number(31 - Math.clz32(mask)))
    }
    throw new Error(`effect: no name ${name}`)
  }

  #call(name: string, trees: readonly Tree[], scope: Map<string, Expression>, out: Statement[]): Expression {
    const values = trees.map((tree) => this.value(tree, scope, out))
    const [first = number(0), second = number(0)] = values
    if (name in flagTables) {
      const table = name as FlagTable
      return { kind: 'flags', table, index: lowBits(first, flagTables[table].bits) }
    }
    switch (name) {
      case 'read':
      case 'input': {
        const local = this.#fresh(name)
        out.push({ kind: name, local, address: lowBits(first, 16) })
        return { kind: 'local', name: local, bits: 8 }
      }
      case 'write':
      case 'output':
        out.push({ kind: name, address: lowBits(first, 16), value: lowBits(second, 8) })
        return number(0)
    }
    const rule = ruleNamed(name)
    const inner = new Map<string, Expression>()
    rule.parameters.forEach((parameter, at) => {
      const value = values[at]
      if (!value) throw new Error(`effect: ${name} wants ${parameter}`)
      inner.set(parameter, this.#keep(parameter, value, out))
    })
    return this.body(rule.body, inner, out) ?? number(0)
  }

  /** A value under a name, so that it stays what it was when a register changes later. */
  #keep(name: string, value: Expression, out: Statement[]): Expression {
    if (value.kind === 'number' || value.kind === 'local') return value
    const local = this.#fresh(name)
    out.push({ kind: 'let', local, value })
    return { kind: 'local', name: local, bits: bitsOf(value) }
  }

  #set(name: string, value: Expression, out: Statement[]) {
    if (!isRegister(name) || name === 'Q') throw new Error(`effect: ${name} cannot be set`)
    if (name === 'WZ') this.#wz = this.#keep('wz', lowBits(value, 16), out)
    out.push({ kind: 'set', register: name, value: name === 'WZ' && this.#wz ? this.#wz : value })
  }

  #fresh(name: string): string {
    const count = (this.#names.get(name) ?? 0) + 1
    this.#names.set(name, count)
    return `${name}${count}`
  }
}

/**
 * Reads the effect of an instruction. The result has no rules left in it; values that stand for later use are locals.
 *
 * The language: steps parted by `;` or new lines. `let x = …` names a value, `REGISTER = …` sets a register (extra bits are
 * cut off), `if … { … }`, `when … { … }`, `give …`, and the words `idle`, `halt`, `holdInterrupts` (EI),
 * `interruptFlagRead` (LD A,I and LD A,R). Operators are those of C with its precedence, on 32-bit integers.
 */
export function readEffect(text: string): readonly Statement[] {
  const out: Statement[] = []
  new Unfolding().body(parseBody(text), new Map(), out)
  return out
}
