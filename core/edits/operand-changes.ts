import { operationText, type SourceInstruction } from './source-text.ts'
import type { SourceEditKind } from './editable.ts'

/** One instruction otherwise, as text; `wouldBe` is null where it is left out. */
export interface InstructionChange {
  readonly kind: SourceEditKind
  readonly wouldBe: string | null
}

const conditions = ['NZ', 'Z', 'NC', 'C', 'PO', 'PE', 'P', 'M']
const byteRegisters = ['A', 'B', 'C', 'D', 'E', 'H', 'L', '(HL)']
const pairs = ['BC', 'DE', 'HL', 'SP', 'AF', 'IX', 'IY']

/**
 * An operand one or two more or less, the condition flipped, another register, `n` for `(n)` and back, the instruction left
 * out. What the assembler refuses is among them.
 */
export function* changesOf({ mnemonic, operands }: SourceInstruction): Generator<InstructionChange> {
  for (const [i, written] of operands.entries()) {
    const operand = written.toUpperCase()
    const instead = (other: string): string => operationText(mnemonic, operands.with(i, other))
    if (isConditionAt(mnemonic, i, operand)) {
      const flipped = conditions[conditions.indexOf(operand) ^ 1] ?? operand
      yield { kind: 'condition', wouldBe: instead(flipped) }
      continue
    }
    const family = [byteRegisters, pairs].find((each) => each.includes(operand))
    if (family !== undefined) {
      for (const other of family) if (other !== operand) yield { kind: 'register', wouldBe: instead(other) }
      continue
    }
    yield* changesOfValue(written, instead)
  }
  yield { kind: 'dropped', wouldBe: null }
}

function isConditionAt(mnemonic: string, index: number, operand: string): boolean {
  return index === 0 && /^(JR|JP|CALL|RET)$/.test(mnemonic) && conditions.includes(operand)
}

/** What may be wrong with an operand that holds a number or a name. */
function* changesOfValue(written: string, instead: (other: string) => string): Generator<InstructionChange> {
  const inside = /^\((.*)\)$/.exec(written)?.[1]
  // RST and IM refuse most sums, BIT some, and (HL), (IX) have none: what does not assemble drops out.
  for (const sum of ['+1', '-1', '+2', '-2']) {
    yield { kind: 'operand', wouldBe: instead(inside === undefined ? `${written}${sum}` : `(${inside}${sum})`) }
  }
  yield { kind: 'form', wouldBe: instead(inside ?? `(${written})`) }
}

/** Operations that are taken for each other. */
const sisters = [
  ...[
    ['ADD', 'ADC', 'SUB', 'SBC'],
    ['AND', 'OR', 'XOR'],
    ['INC', 'DEC'],
    ['LDIR', 'LDDR'],
    ['LDI', 'LDD'],
  ],
  ...[
    ['CPIR', 'CPDR'],
    ['RLA', 'RLCA', 'RRA', 'RRCA'],
    ['RL', 'RLC', 'SLA', 'ADD'],
    ['RR', 'RRC', 'SRL', 'SRA'],
  ],
  ...[
    ['RL', 'RR'],
    ['RLC', 'RRC'],
    ['SLA', 'SRL'],
    ['SET', 'RES', 'BIT'],
    ['RLD', 'RRD'],
    ['HALT', 'RET'],
  ],
  ...[
    ['JP', 'CALL', 'JR'],
    ['DJNZ', 'JR NZ', 'JR'],
    ['PUSH', 'POP'],
    ['IN', 'OUT'],
    ['EI', 'DI'],
    ['CP', 'SUB', 'AND'],
  ],
]
const oneOperand = ['SUB', 'AND', 'OR', 'XOR', 'CP']
const accumulators = ['ADD', 'ADC', 'SBC']

/** The same operands with an operation that is taken for it. */
export function* sistersOf({ mnemonic, operands }: SourceInstruction): Generator<InstructionChange> {
  const others = new Set(sisters.filter((each) => each.includes(mnemonic)).flat())
  others.delete(mnemonic)
  for (const other of others) {
    const last = operands.at(-1) ?? ''
    const isAlone = oneOperand.includes(other)
    const isFromAlone = oneOperand.includes(mnemonic) && accumulators.includes(other)
    const changed = isAlone ? [last] : isFromAlone ? ['A', last] : operands
    yield { kind: 'operation', wouldBe: operationText(other, other === 'JR NZ' ? [] : changed) }
  }
}

/** Every other condition than the one written and its opposite; and the jump without one. */
export function* otherConditions({ mnemonic, operands }: SourceInstruction): Generator<InstructionChange> {
  const written = operands[0]?.toUpperCase() ?? ''
  if (!isConditionAt(mnemonic, 0, written)) return
  for (const other of conditions) {
    if (conditions.indexOf(other) >> 1 === conditions.indexOf(written) >> 1) continue
    yield { kind: 'condition', wouldBe: operationText(mnemonic, operands.with(0, other)) }
  }
  yield { kind: 'condition', wouldBe: operationText(mnemonic, operands.slice(1)) }
}

/** A number read in the other base, halved, doubled, or one that stands elsewhere in place of it. */
export function* otherNumbers(
  { mnemonic, operands }: SourceInstruction,
  elsewhere: readonly string[],
): Generator<InstructionChange> {
  for (const [i, written] of operands.entries()) {
    const inside = /^\((.*)\)$/.exec(written)?.[1]
    const number = inside ?? written
    if (!/^\d[0-9A-F]*H?$/i.test(number)) continue
    const instead = (other: string): InstructionChange => ({
      kind: 'operand',
      wouldBe: operationText(mnemonic, operands.with(i, inside === undefined ? other : `(${other})`)),
    })
    const isHex = /h$/i.test(number)
    if (isHex && /^\d+h$/i.test(number)) yield instead(number.slice(0, -1))
    if (!isHex) yield instead(`${number}h`)
    yield instead(`${number}/2`)
    yield instead(`${number}*2`)
    for (const other of elsewhere) if (other !== number) yield instead(other)
  }
}
