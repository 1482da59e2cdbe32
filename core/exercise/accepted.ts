import { showByte, showWord } from '../image/index.ts'
import { orModel, orOfCase } from './checks/check.ts'
import { list, object, optional, word, type Read } from './schema/index.ts'
import { orList } from './words.ts'

/** Several values of which each is right: any of a list, a range, the bits under a mask. */
export const acceptedValues = object(
  'accepted-values',
  'Values of which each is right, in place of a single one: one of value, of, and from and to; with a mask its bits alone count.',
  {
    of: optional(orOfCase(list(word, 1, 64)), 'Any of these.', null, 'another of these'),
    from: optional(orOfCase(word), 'This or more, unsigned.', null, 'no lower limit'),
    to: optional(orOfCase(word), 'This or less, unsigned.', null, 'no upper limit'),
    value: optional(orModel(word), 'This value, or `model`: for a mask.', null, 'another of these'),
    mask: optional(orOfCase(word), 'The bits that count; the others may hold anything.', null, 'all bits'),
  },
)

export type AcceptedValues = Read<typeof acceptedValues>

/** A description that says nothing yet. */
export const noValues: AcceptedValues = { of: null, from: null, to: null, value: null, mask: null }

/** What a place of 8 or 16 bits may hold. */
export interface Acceptance {
  accepts(value: number): boolean
  /** Behind a name: `= 0Bh`, `from 30h to 39h`, `AND F0h = 80h`. */
  readonly after: string
  /** Alone: `0Bh`, `01h, 02h or 04h`, `80h under the mask F0h`. */
  readonly alone: string
  /** The one value that is right; null where several are. */
  readonly only: number | null
  /** The same, or the value of which some bits count; null for several and for a range. */
  readonly value: number | null
}

/** The one value that is right. */
export function exactly(value: number, bits: 8 | 16): Acceptance {
  const text = shown(value, bits)
  return { accepts: (found) => found === value, after: `= ${text}`, alone: text, only: value, value }
}

/** What is accepted by a description; `model` stands for the model answer's value, null where it is not known yet. */
export function acceptanceOf(written: AcceptedValues, bits: 8 | 16, model: number | null): Acceptance {
  const { of, from, to } = written
  const all = bits === 8 ? 0xff : 0xffff
  const mask = (written.mask ?? all) & all
  const value = written.value === 'model' ? model : written.value
  const accepts = (found: number): boolean => {
    const counted = found & mask
    if (of !== null) return of.some((each) => counted === (each & mask))
    if (written.value !== null) return value !== null && counted === (value & mask)
    return counted >= (from ?? 0) && counted <= (to ?? all)
  }
  const text = (each: number): string => shown(each & mask, bits)
  const single = value === null ? 'what the model answer leaves' : text(value)
  const values = of !== null ? orList(of.map(text)) : written.value !== null ? single : null
  const isMasked = mask !== all
  const one = of?.length === 1 ? (of[0] ?? null) : value
  return {
    accepts,
    after: `${isMasked ? `AND ${shown(mask, bits)} ` : ''}${values === null ? rangeText(from, to, bits) : `= ${values}`}`,
    alone: `${values ?? rangeText(from, to, bits)}${isMasked ? ` under the mask ${shown(mask, bits)}` : ''}`,
    only: isMasked ? null : one,
    value: one,
  }
}

function shown(value: number, bits: 8 | 16): string {
  return bits === 8 && value <= 0xff ? showByte(value) : showWord(value)
}

function rangeText(from: number | null, to: number | null, bits: 8 | 16): string {
  if (from === null) return `at most ${shown(to ?? 0, bits)}`
  return to === null ? `at least ${shown(from, bits)}` : `from ${shown(from, bits)} to ${shown(to, bits)}`
}

/** What is wrong with a description, as sentences: no values or two kinds of them, or such as are never right or always. */
export function acceptedMisfits(name: string, written: AcceptedValues, bits: 8 | 16): readonly string[] {
  const { of, from, to, value, mask } = written
  const kinds = [of !== null, value !== null, from !== null || to !== null].filter((each) => each).length
  if (kinds !== 1) {
    const found = kinds === 0 ? 'no values' : 'two kinds of values'
    return [`found ${found} for ${name}, allowed one of value, of, and from and to`]
  }
  const all = bits === 8 ? 0xff : 0xffff
  const numbers = [...(of ?? []), from, to, mask, value].filter((each) => typeof each === 'number')
  const large = numbers.find((each) => each > all)
  if (large !== undefined) return [`found ${showWord(large)} for ${name}, allowed at most ${shown(all, bits)}`]
  const counted = mask ?? all
  const isRight = (bare: number): boolean => acceptanceOf(written, bits, 0).accepts(bare)
  // What the model answer leaves is one value under the mask, whichever it is.
  const values = Array.from({ length: all + 1 }, (_, i) => i)
  const right = value === 'model' ? (counted === 0 ? all + 1 : 1) : values.filter(isRight).length
  if (right === 0) return [`found values for ${name} that it never holds, allowed such as it can hold`]
  if (right > all) return [`found values for ${name} that it always holds, allowed such as it need not hold`]
  return []
}
