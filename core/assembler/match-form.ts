import { formIndex, formKey, type Form } from './forms.ts'
import type { Operand } from './operand.ts'
import { otherOperands } from './spellings.ts'

/** A form of the instruction table with the operands in its order. */
export interface Match {
  readonly form: Form
  readonly operands: readonly (Operand | null)[]
}

/**
 * The form that a line means, in the manual's spelling or one of ours. Where the form fixes a number (`BIT 3`), any form of
 * that shape is given: they are all of one length, and `exactForm` finds the right one once the number is known.
 */
export function matchForm(mnemonic: string, operands: readonly Operand[]): Match | null {
  for (const keys of keyChoices(mnemonic, operands)) {
    const form = formIndex().byKey.get(formKey(mnemonic, keys))
    if (form !== undefined) return { form, operands }
  }
  const plain = operands.map((operand) => operand.keys[0] ?? '')
  for (const order of otherOperands(mnemonic, plain)) {
    const reordered = order.map((from) => (typeof from === 'number' ? (operands[from] ?? null) : null))
    const choices = order.map((from) => (typeof from === 'number' ? (operands[from]?.keys ?? []) : [from]))
    for (const keys of product(choices.map((some, i) => loosened(mnemonic, some, i)))) {
      const form = formIndex().byKey.get(formKey(mnemonic, keys))
      if (form !== undefined) return { form, operands: reordered }
    }
  }
  return null
}

/** The form with the very numbers that `valueOf` gives for its fixed operands, or null when there is none with them. */
export function exactForm(form: Form, valueOf: (operand: number) => number): Form | null {
  if (!form.keys.some((key) => key.startsWith('='))) return form
  const keys = form.keys.map((key, i) => (key.startsWith('=') ? `=${valueOf(i)}` : key))
  return formIndex().byKey.get(formKey(form.mnemonic, keys)) ?? null
}

function keyChoices(mnemonic: string, operands: readonly Operand[]): readonly (readonly string[])[] {
  return product(operands.map((operand, i) => loosened(mnemonic, operand.keys, i)))
}

function loosened(mnemonic: string, keys: readonly string[], i: number): readonly string[] {
  return keys[0] === '#' && formIndex().fixedNumbers.has(`${mnemonic} ${i}`) ? ['=?'] : keys
}

function product(choices: readonly (readonly string[])[]): readonly (readonly string[])[] {
  // Only (IX) and (IY) have more than one key.
  if (choices.every((keys) => keys.length === 1)) return [choices.map((keys) => keys[0] ?? '')]
  return choices.reduce<readonly (readonly string[])[]>(
    (some, keys) => some.flatMap((before) => keys.map((key) => [...before, key])),
    [[]],
  )
}
