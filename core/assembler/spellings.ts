/**
 * Spellings that we take beside the manual's. Each is turned into the manual's own before the instruction table is asked,
 * so none of them knows an opcode.
 */

/** Other names of mnemonics. */
export const otherMnemonics: ReadonlyMap<string, string> = new Map([
  ['SLI', 'SLL'],
  ['SL1', 'SLL'],
])

/** Other names of the halves of IX and IY. */
export const otherRegisters: ReadonlyMap<string, string> = new Map(
  ['X', 'Y'].flatMap((index) =>
    ['H', 'L'].flatMap((half) =>
      [`${half}${index}`, `${index}${half}`, `${half}I${index}`].map((name): [string, string] => [
        name,
        `I${index}${half}`,
      ]),
    ),
  ),
)

/** Instructions of which A is the first operand whether it is written or not. */
const accumulatorMnemonics: ReadonlySet<string> = new Set(['ADD', 'ADC', 'SUB', 'SBC', 'AND', 'XOR', 'OR', 'CP'])

/** True when a form with `operands` of them may be written with `written`: A may be put before the other or left out. */
export function takesOperands(mnemonic: string, operands: number, written: number): boolean {
  if (written === operands || (mnemonic === 'IN' && written === 1)) return true
  return accumulatorMnemonics.has(mnemonic) && (written === 1 || written === 2)
}

/** Orders and omissions of operands that mean the same: the operands (by number, or a key) in the manual's way. */
export function otherOperands(mnemonic: string, keys: readonly string[]): readonly (readonly (number | string)[])[] {
  const [first, second, third] = keys
  if (accumulatorMnemonics.has(mnemonic)) {
    if (keys.length === 1) return [['A', 0]]
    return keys.length === 2 && first === 'A' ? [[1]] : []
  }
  if (mnemonic === 'JP' && keys.length === 1 && /^(HL|IX|IY)$/.test(first ?? '')) return [[`(${first})`]]
  if (mnemonic === 'EX' && keys.length === 2) return first === 'AF' && second === 'AF' ? [['AF', "AF'"]] : [[1, 0]]
  if (mnemonic === 'IN' && keys.length === 1 && first === '(C)') return [['F', 0]]
  // RLC B,(IX+5) and SET 0,B,(IX+5): the register that gets a copy may stand before the memory.
  if (keys.length === 2 && isIndexed(second)) return [[1, 0]]
  if (keys.length === 3 && isIndexed(third)) return [[0, 2, 1]]
  return []
}

function isIndexed(key: string | undefined): boolean {
  return key !== undefined && /^\(I[XY](\+d)?\)$/.test(key)
}
