import { instructionSet, type Instruction } from '../cpu/index.ts'

/** An operand byte of a form and the operand (from 0) whose value fills it. */
export interface Slot {
  readonly kind: 'n' | 'nl' | 'nh' | 'd' | 'e'
  readonly operand: number
  /** Place of the byte in the instruction, from 0. */
  readonly offset: number
}

/** One line of the instruction table as the assembler uses it. */
export interface Form {
  readonly instruction: Instruction
  readonly mnemonic: string
  /** The operands as the table spells them: `['(IX+d)', 'n']`. */
  readonly operands: readonly string[]
  /** The operands as `operand.ts` gives them: a number is `#`, one that the form fixes is `=` and its value. */
  readonly keys: readonly string[]
  readonly slots: readonly Slot[]
}

/** The instruction table by what stands in a source line. Built from `core/cpu` once; there is no second list of opcodes. */
export interface FormIndex {
  /** By `formKey`. With `=?` for a fixed number it gives any of the forms, which are all of one length. */
  readonly byKey: ReadonlyMap<string, Form>
  readonly byMnemonic: ReadonlyMap<string, readonly Form[]>
  /** Operands of a mnemonic that take fixed numbers only: `BIT 0`, `RST 0`, `IM 0`, `OUT 1`. */
  readonly fixedNumbers: ReadonlySet<string>
  /** Registers, register halves and conditions: words that cannot be labels. */
  readonly operandWords: ReadonlySet<string>
}

let built: FormIndex | undefined

/** The index; built at the first call. */
export function formIndex(): FormIndex {
  return (built ??= build())
}

/** What `byKey` is asked with. */
export function formKey(mnemonic: string, operandKeys: readonly string[]): string {
  return operandKeys.length === 0 ? mnemonic : `${mnemonic} ${operandKeys.join(',')}`
}

function build(): FormIndex {
  const byKey = new Map<string, Form>()
  const byMnemonic = new Map<string, Form[]>()
  const fixedNumbers = new Set<string>()
  const operandWords = new Set<string>()
  for (const instruction of instructionSet) {
    if (instruction.isAlias === true) continue
    const form = formOf(instruction)
    const key = formKey(form.mnemonic, form.keys)
    if (byKey.has(key)) continue
    byKey.set(key, form)
    const loose = formKey(
      form.mnemonic,
      form.keys.map((operand) => (operand.startsWith('=') ? '=?' : operand)),
    )
    if (!byKey.has(loose)) byKey.set(loose, form)
    const some = byMnemonic.get(form.mnemonic)
    if (some === undefined) byMnemonic.set(form.mnemonic, [form])
    else some.push(form)
    form.keys.forEach((operand, i) => {
      if (operand.startsWith('=')) fixedNumbers.add(`${form.mnemonic} ${i}`)
    })
    for (const operand of form.operands)
      for (const [word] of operand.matchAll(/[A-Z][A-Z']*/g)) if (!isNumeral(operand)) operandWords.add(word)
  }
  return { byKey, byMnemonic, fixedNumbers, operandWords }
}

function formOf(instruction: Instruction): Form {
  const blank = instruction.text.indexOf(' ')
  const mnemonic = blank < 0 ? instruction.text : instruction.text.slice(0, blank)
  const operands = blank < 0 ? [] : instruction.text.slice(blank + 1).split(',')
  const slots: Slot[] = []
  instruction.encoding.forEach((kind, offset) => {
    if (typeof kind === 'number') return
    const placeholder = kind === 'nl' || kind === 'nh' ? 'nn' : kind
    const operand = operands.findIndex((text) => new RegExp(`\\b${placeholder}\\b`).test(text))
    if (operand < 0) throw new Error(`${instruction.text} has no operand for its ${kind}`)
    slots.push({ kind, operand, offset })
  })
  return { instruction, mnemonic, operands, keys: operands.map(keyOf), slots }
}

function keyOf(operand: string): string {
  if (isNumeral(operand)) return `=${operand.endsWith('H') ? parseInt(operand, 16) : Number(operand)}`
  return operand.replace(/\b(?:n|nn|e)\b/, '#')
}

function isNumeral(operand: string): boolean {
  return /^[0-9][0-9A-F]*H?$/.test(operand)
}
