import type { Byte } from '../cpu/index.ts'
import { evaluate, type Scope } from './evaluate.ts'
import type { Expression } from './expression.ts'
import { formIndex, formKey, type Form, type Slot } from './forms.ts'
import { exactForm } from './match-form.ts'
import { noSuchForm } from './no-such-form.ts'
import type { Work } from './record.ts'

type InstructionWork = Extract<Work, { kind: 'instruction' }>

/** The bytes of an instruction at `here`. What does not fit is noted, and its byte left 0. */
export function encode(
  work: InstructionWork,
  here: number,
  scope: Scope,
): { readonly form: Form; readonly bytes: Byte[] } {
  const { match, texts, at } = work
  const values = match.operands.map((operand) => (operand?.value ? evaluate(operand.value, scope) : 0))
  const fixed = match.form.keys.flatMap((key, i) => (key.startsWith('=') ? [values[i] ?? null] : []))
  const exact = fixed.includes(null) ? match.form : exactForm(match.form, (i) => values[i] ?? 0)
  const form = exact ?? match.form
  if (exact === null) {
    const keys = match.form.keys.map((key, i) => (key.startsWith('=') ? `=${values[i] ?? 0}` : key))
    const text = noSuchForm({ mnemonic: form.mnemonic, keys, texts, firstValue: values[0] ?? null })
    const place = match.operands[match.form.keys.findIndex((key) => key.startsWith('='))]?.value?.at ?? at
    scope.note(place, text.code, text.found, text.allowed, text.message)
  }
  const bytes = form.instruction.encoding.map((byte) => (typeof byte === 'number' ? byte : 0))
  for (const slot of form.slots) {
    const value = values[slot.operand] ?? null
    const expression = match.operands[slot.operand]?.value ?? null
    if (value !== null) bytes[slot.offset] = operandByte(slot, value, expression, work, form, here, scope)
  }
  return { form, bytes }
}

function operandByte(
  slot: Slot,
  value: number,
  expression: Expression | null,
  work: InstructionWork,
  form: Form,
  here: number,
  scope: Scope,
): Byte {
  switch (slot.kind) {
    case 'e':
      return relative(value, expression, form, here, scope)
    case 'd':
      return checked(value, -128, 127, expression, scope, () => displacementMessage(value, form, slot)) & 0xff
    case 'n':
      return checked(value, -128, 255, expression, scope, () => byteMessage(value, form, slot, work.texts)) & 0xff
    case 'nl':
      return checked(value, -0x8000, 0xffff, expression, scope, () => wordMessage(value)) & 0xff
    case 'nh':
      // The low byte has told already when the word does not fit.
      return (value >> 8) & 0xff
  }
}

function checked(
  value: number,
  least: number,
  most: number,
  expression: Expression | null,
  scope: Scope,
  message: () => string,
): number {
  if (value >= least && value <= most) return value
  if (expression !== null) scope.note(expression.at, 'does-not-fit', String(value), `${least} to ${most}`, message())
  return 0
}

function wordMessage(value: number): string {
  return `${value} does not fit into 16 bits, which hold 0 to 65535, or -32768 to -1.`
}

function byteMessage(value: number, form: Form, slot: Slot, texts: readonly string[]): string {
  if (form.keys[slot.operand] === '(#)') return `There is no port ${value}: the number of a port is one byte, 0 to 255.`
  const plain = `${value} does not fit into a byte, which holds 0 to 255, or -128 to -1.`
  // LD A,TABLE where LD A,(TABLE) was meant.
  const inMemory = form.keys.map((key, i) => (i === slot.operand ? '(#)' : key))
  const isAsWritten = texts.length === form.operands.length
  return isAsWritten && value > 0 && value <= 0xffff && formIndex().byKey.has(formKey(form.mnemonic, inMemory))
    ? `${plain} For the byte that stands at that address write it in brackets: ${form.mnemonic} ${texts.map((text, i) => (i === slot.operand ? `(${text})` : text)).join(',')}.`
    : plain
}

function displacementMessage(value: number, form: Form, slot: Slot): string {
  const register = form.operands[slot.operand]?.slice(1, 3) ?? 'IX'
  const plain = `The displacement ${value} is out of range: (${register}+d) reaches from -128 to +127.`
  return value > 127 && value < 256
    ? `${plain} If the byte ${hexByte(value)} was meant, write (${register}-${256 - value}).`
    : plain
}

function hexByte(value: number): string {
  const digits = value.toString(16).toUpperCase().padStart(2, '0')
  return `${/^[A-F]/.test(digits) ? '0' : ''}${digits}H`
}

/** The byte of a relative jump. Distances wrap round at FFFFh as the program counter does. */
function relative(target: number, expression: Expression | null, form: Form, here: number, scope: Scope): Byte {
  const fits = target >= -0x8000 && target <= 0xffff
  const distance = ((((target - here + 0x8000 - 2) % 0x10000) + 0x10000) % 0x10000) - 0x8000
  if (fits && distance >= -128 && distance <= 127) return distance & 0xff
  if (expression === null) return 0
  if (!fits) {
    const message = `${target} is no address. Addresses go from 0 to 65535.`
    scope.note(expression.at, 'does-not-fit', String(target), '0 to 65535', message)
    return 0
  }
  const away = distance + 2
  const isForward = away >= 0
  const far = form.mnemonic === 'DJNZ' ? 'DEC B and JP NZ reach everywhere' : 'JP reaches everywhere'
  const isDistance = expression.kind === 'number' || (expression.kind === 'unary' && expression.of.kind === 'number')
  const advice =
    isDistance && target < 256
      ? ` ${form.mnemonic} takes the address to go to, not the distance: for a distance write $ and a sign, as in ${form.mnemonic} $+5.`
      : ''
  scope.note(
    expression.at,
    'jr-out-of-range',
    `${Math.abs(away)} bytes ${isForward ? 'on' : 'back'}`,
    '-126 to +129',
    `${form.mnemonic} is out of range: the target is ${Math.abs(away)} bytes ${isForward ? 'away' : 'back'}; ${form.mnemonic} reaches -126 to +129 from its own address; ${far}.${advice}`,
  )
  return 0
}
