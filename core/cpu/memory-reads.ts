import { definitionOf } from './decode.ts'
import { readEffect, type Expression, type Statement } from './effect.ts'
import type { Byte } from './instruction.ts'

/** Registers that hold addresses. */
export type AddressRegister = 'bc' | 'de' | 'hl' | 'ix' | 'iy' | 'sp'

/** A byte that an instruction reads from memory as data: at the register's value before it, plus `offset`, modulo 65536. */
export interface MemoryReadAddress {
  /** Null: `offset` is the address itself. */
  readonly register: AddressRegister | null
  readonly offset: number
  /** Read only where the condition holds (RET cc). */
  readonly isConditional: boolean
}

/** The same before the operand bytes are known: `operand` is to be added. */
interface ReadRule extends MemoryReadAddress {
  readonly operand: 'nn' | 'd' | null
}

const known = new Map<string, readonly ReadRule[]>()
const addressRegisters: readonly string[] = ['BC', 'DE', 'HL', 'IX', 'IY', 'SP']

/**
 * What the instruction whose bytes are `byteAt(0)`, `byteAt(1)` … reads from memory, in the order in which it does so, taken
 * from its effect in the table. Its own bytes are not among it. A DD or FD that another prefix overrides reads nothing.
 */
export function memoryReads(byteAt: (offset: number) => Byte): readonly MemoryReadAddress[] {
  const { encoding, effect } = definitionOf(byteAt)
  let rules = known.get(effect)
  if (rules === undefined) {
    const found: ReadRule[] = []
    collect(readEffect(effect), new Map(), false, found)
    rules = found
    known.set(effect, rules)
  }
  return rules.map(({ register, offset, operand, isConditional }) => {
    const at = (name: string) => byteAt(encoding.findIndex((byte) => byte === name))
    const added = operand === 'nn' ? at('nl') | (at('nh') << 8) : operand === 'd' ? (at('d') << 24) >> 24 : 0
    return { register, offset: offset + added, isConditional }
  })
}

/**
 * Whether `attribute.onlyForUndefined` serves for an instruction: it reads by one register, which its first two bytes tell.
 * Not by an address in its own bytes, nor behind a prefix without effect.
 */
export function stopsForUndefined(byteAt: (offset: number) => Byte): boolean {
  const isIndexed = (byteAt(0) & 0xdf) === 0xdd
  return memoryReads(byteAt).every(({ register }) =>
    isIndexed ? register === 'ix' || register === 'iy' || (byteAt(1) & 0xfd) === 0xe1 : register !== null,
  )
}

/** A register's value before the instruction, an operand and a number added up; null for whatever is no address. */
type Sum = Omit<ReadRule, 'isConditional'> | null

function collect(
  statements: readonly Statement[],
  sums: Map<string, Sum>,
  isConditional: boolean,
  found: ReadRule[],
): void {
  for (const statement of statements) {
    switch (statement.kind) {
      case 'let':
        sums.set(statement.local, sumOf(statement.value, sums))
        break
      case 'set':
        sums.set(statement.register, sumOf(statement.value, sums))
        break
      case 'read': {
        const sum = sumOf(statement.address, sums)
        if (sum === null) throw new Error('an address that is no sum of a register and a number')
        found.push({ ...sum, isConditional })
        break
      }
      case 'if':
      case 'when':
        collect(statement.body, sums, true, found)
        break
      default:
    }
  }
}

function sumOf(expression: Expression, sums: ReadonlyMap<string, Sum>): Sum {
  const nothing = { register: null, offset: 0, operand: null } as const
  switch (expression.kind) {
    case 'number':
      return { ...nothing, offset: expression.value }
    case 'operand':
      return expression.name === 'nn' || expression.name === 'd' ? { ...nothing, operand: expression.name } : null
    case 'local':
      return sums.get(expression.name) ?? null
    case 'register': {
      const { name } = expression
      const isAddress = addressRegisters.includes(name)
      return sums.get(name) ?? (isAddress ? { ...nothing, register: name.toLowerCase() as AddressRegister } : null)
    }
    case 'binary': {
      const left = sumOf(expression.left, sums)
      const right = sumOf(expression.right, sums)
      if (left === null || right === null || right.register !== null) return null
      if (expression.operator === '&') return right.offset === 0xffff ? left : null
      if (left.operand !== null && right.operand !== null) return null
      const operand = left.operand ?? right.operand
      if (expression.operator === '+') return { ...left, operand, offset: left.offset + right.offset }
      const isMinus = expression.operator === '-' && right.operand === null
      return isMinus ? { ...left, offset: left.offset - right.offset } : null
    }
    default:
      return null
  }
}
