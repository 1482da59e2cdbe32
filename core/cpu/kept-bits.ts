import { bitsOf, type Expression } from './effect.ts'
import { flagTables, type FlagTable } from './flags.ts'

/** Bits that a table of flags can set. */
export function flagsOf(table: FlagTable): number {
  const before = possible.get(table)
  if (before !== undefined) return before
  const { bits, flags } = flagTables[table]
  let set = 0
  for (let index = 0; index < 2 ** bits; index++) set |= flags(index)
  possible.set(table, set)
  return set
}
const possible = new Map<FlagTable, number>()

/** True where bit `bit` of a new F is that of the old one. */
export function isKept(value: Expression, bit: number): boolean {
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
export function isClear(value: Expression, bit: number): boolean {
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
