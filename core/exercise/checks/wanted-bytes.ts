import { showCount, showWord } from '../../image/index.ts'
import { acceptedMisfits, acceptedValues } from '../accepted.ts'
import {
  byte,
  bytes,
  choice,
  either,
  isFields,
  list,
  object,
  optional,
  required,
  whole,
  word,
  type Read,
} from '../schema/index.ts'
import { bytesText } from '../words.ts'
import { orModel, orOfCase, type WantedPlace } from './check.ts'
import { blockOf } from './wanted-block.ts'

const place = either(
  acceptedValues,
  isFields,
  either(choice(['any']), (value) => typeof value === 'string' && /^an/i.test(value), byte),
)

/** Bytes as in a dump or as numbers; or a list in which some places have more than one right value. */
const blockBytes = either(
  list(place, 1, 4096),
  (value) => Array.isArray(value) && value.some((each) => isFields(each) || each === 'any'),
  bytes(1, 4096),
)

export const wantedBytes = object('wanted-bytes', 'Bytes wanted in memory at the end: one of bytes, of and word.', {
  at: required(orOfCase(word), 'Address of the first byte.'),
  bytes: optional(
    orModel(blockBytes),
    'The bytes, or `model`: those that the model answer leaves. In a list a place may be `any`, or have several right values: `[{ from: 30h, to: 39h }, any, 0Dh]`.',
    null,
    'another of these',
  ),
  of: optional(
    orOfCase(list(bytes(1, 256), 1, 32)),
    'Or any of these blocks, all of one length.',
    null,
    'another of these',
  ),
  word: optional(
    orOfCase(either(acceptedValues, isFields, word)),
    'Or a word, its low byte first: one value, or several of which each is right.',
    null,
    'another of these',
  ),
  mask: optional(
    orOfCase(bytes(1, 4096)),
    'For `bytes` and `of`: the bits that count in each byte, or one byte for all; the others may hold anything.',
    null,
    'all bits',
  ),
  length: optional(orOfCase(whole(1, 4096)), 'With `model`: how many bytes are compared.', 1),
})

export type WantedBytes = Read<typeof wantedBytes>

/** Whether it is compared with the model answer's run. */
export function needsModel({ bytes: written, word: wantedWord }: WantedBytes): boolean {
  if (written === 'model' || (isFields(wantedWord) && wantedWord.value === 'model')) return true
  return Array.isArray(written) && written.some((each) => isFields(each) && each['value'] === 'model')
}

/** The bytes in which more than one value is right. */
export function openPlaces(wanted: WantedBytes): readonly WantedPlace[] {
  const { at, bytes: written, mask } = wanted
  const { length, isOne } = blockOf(wanted, () => null)
  if (written === 'model') return mask === null ? [] : [{ kind: 'bytes', at, length: wanted.length }]
  return isOne ? [] : [{ kind: 'bytes', at, length }]
}

/** What is wanted, in words, before anything has run. */
export function describeBytes(wanted: WantedBytes): string {
  const under = wanted.mask === null ? '' : ` under the mask ${bytesText(wanted.mask)}`
  const text =
    wanted.bytes === 'model'
      ? `${showCount(wanted.length, 'byte')} as the model answer leaves them${under}`
      : blockOf(wanted, () => null).text
  return `${showWord(wanted.at)}: ${text}`
}

/** What fits no memory, as sentences. */
export function bytesMisfits(wanted: WantedBytes): readonly string[] {
  const { at, bytes: written, of, word: wantedWord, mask } = wanted
  const where = `at ${showWord(at)}`
  const kinds = [written, of, wantedWord].filter((each) => each !== null).length
  if (kinds !== 1)
    return [`found ${kinds === 0 ? 'nothing wanted' : 'two things wanted'} ${where}, allowed one of bytes, of and word`]
  const misfits: string[] = []
  if (wantedWord !== null) {
    if (mask !== null)
      misfits.push(`found a mask beside the word ${where}, allowed one in it: { value: 1000h, mask: F000h }`)
    if (typeof wantedWord !== 'number') misfits.push(...acceptedMisfits(`the word ${where}`, wantedWord, 16))
    return misfits
  }
  const length = written === 'model' ? wanted.length : (written ?? of?.[0] ?? []).length
  const other = of?.find((each) => each.length !== length)
  if (other !== undefined)
    misfits.push(`found blocks of ${length} and ${showCount(other.length, 'byte')} ${where}, allowed one length`)
  if (mask !== null && mask.length !== 1 && mask.length !== length) {
    misfits.push(`found a mask of ${showCount(mask.length, 'byte')} ${where}, allowed 1 or ${length}`)
  }
  const places = Array.isArray(written) ? written : []
  for (const [i, each] of places.entries()) {
    if (typeof each === 'object') misfits.push(...acceptedMisfits(`byte ${i + 1} ${where}`, each, 8))
  }
  if (
    misfits.length === 0 &&
    blockOf(wanted, () => null).counted === 0 &&
    (written !== 'model' || mask?.every((each) => each === 0) === true)
  ) {
    misfits.push(`found bytes ${where} that are always right, allowed such as need not be`)
  }
  return misfits
}
