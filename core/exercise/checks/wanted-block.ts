import type { Addr, Byte } from '../../cpu/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import type { RunResult } from '../../run/index.ts'
import { acceptanceOf, exactly, noValues, type Acceptance, type AcceptedValues } from '../accepted.ts'
import type { HeldAtEnd, WantedValue } from './check.ts'
import { bytesText, orList } from '../words.ts'
import type { WantedBytes } from './wanted-bytes.ts'

/** A stretch of memory and what it may hold. */
export interface WantedBlock {
  readonly at: Addr
  readonly length: number
  /** How many of its bytes are looked at: not those that may be anything. */
  readonly counted: number
  /** Whether a single value is right in each of its bytes. */
  readonly isOne: boolean
  /** Those values then; null otherwise. */
  readonly only: readonly Byte[] | null
  /** What is wanted, behind its address: `2C 1C`, `from 30h to 39h, any, 0Dh`. */
  readonly text: string
  /** Places, from 0, of the bytes that are wrong; of several blocks the nearest one is held against memory. */
  wrongIn(memory: Uint8Array): readonly number[]
  /** What is wanted of each byte that is looked at; of several blocks, and of a word, of all together. */
  readonly values: readonly WantedValue[]
  /** What is wrong with the byte in a place: `4602h holds 2Dh; wanted 2Ch`. */
  wrongText(memory: Uint8Array, place: number): string
}

/** What one byte may hold; null for anything. */
type Place = Acceptance | null

const highByte = (value: number): number => value >> 8

/** What a check wants; `model` gives the model answer's run, null where it is not known. */
export function blockOf(wanted: WantedBytes, model: () => RunResult | null): WantedBlock {
  const { at, bytes, of, word, mask, length } = wanted
  const memory = (): Uint8Array | null => model()?.memory ?? null
  if (typeof word === 'number') return placesBlock(at, [[exactly(word & 0xff, 8), exactly(highByte(word), 8)]], null)
  if (word !== null) {
    const held = word.value === 'model' ? memory() : null
    return wordBlock(at, acceptanceOf(word, 16, held === null ? null : wordAt(held, at)))
  }
  const maskAt = (i: number): number => (mask?.length === 1 ? mask[0] : mask?.[i]) ?? 0xff
  const placeOf = (each: number | 'any' | AcceptedValues, i: number): Place => {
    if (each === 'any' || (typeof each === 'number' && maskAt(i) === 0)) return null
    if (typeof each === 'number') return masked(each, maskAt(i))
    return acceptanceOf(each, 8, each.value === 'model' ? (memory()?.[at + i] ?? null) : null)
  }
  const blocks = of ?? [bytes === 'model' ? Array.from(memory()?.subarray(at, at + length) ?? []) : (bytes ?? [])]
  return placesBlock(
    at,
    blocks.map((block) => block.map(placeOf)),
    mask,
  )
}

function masked(value: number, mask: number): Acceptance {
  if (mask === 0xff) return exactly(value, 8)
  return acceptanceOf({ ...noValues, value, mask }, 8, null)
}

/** The word at an address, its low byte first. */
function wordAt(memory: Uint8Array, at: Addr): number {
  return (memory[at] ?? 0) | ((memory[at + 1] ?? 0) << 8)
}

function wordBlock(at: Addr, wanted: Acceptance): WantedBlock {
  return {
    ...{ at, length: 2, counted: 2, isOne: wanted.only !== null, text: `word ${wanted.after}` },
    only: wanted.only === null ? null : [wanted.only & 0xff, highByte(wanted.only)],
    values: [
      {
        place: { kind: 'bytes', at, length: 2 },
        isOne: wanted.only !== null,
        isRight: ({ memory }) => wanted.accepts(wordAt(memory, at)),
      },
    ],
    wrongIn: (memory) => (wanted.accepts(wordAt(memory, at)) ? [] : [0, 1]),
    wrongText: (memory) => `the word at ${showWord(at)} is ${showWord(wordAt(memory, at))}; wanted ${wanted.alone}`,
  }
}

function placesBlock(at: Addr, blocks: readonly (readonly Place[])[], mask: readonly number[] | null): WantedBlock {
  const wrongOf = (block: readonly Place[], memory: Uint8Array): readonly number[] =>
    block.flatMap((place, i) => (place === null || place.accepts(memory[at + i] ?? 0) ? [] : [i]))
  const nearest = (memory: Uint8Array): readonly number[] =>
    blocks.map((block) => wrongOf(block, memory)).reduce((best, each) => (each.length < best.length ? each : best))
  const [first = []] = blocks
  const isOne = blocks.length === 1 && first.every((place) => place !== null && place.only !== null)
  const anyOf: WantedValue = {
    place: { kind: 'bytes', at, length: first.length },
    isOne: false,
    isRight: ({ memory }) => nearest(memory).length === 0,
  }
  const under = mask === null ? '' : ` under the mask ${bytesText(mask)}`
  const text = `${orList(blocks.map((block) => placesText(block, mask !== null)))}${under}`
  return {
    ...{ at, length: first.length, counted: first.filter((place) => place !== null).length, isOne, text },
    only: isOne ? first.flatMap((place) => place?.only ?? []) : null,
    values: blocks.length === 1 ? first.flatMap((place, i) => valueOf(at + i, place)) : [anyOf],
    wrongIn: nearest,
    wrongText: (memory, i) => {
      if (blocks.length > 1) {
        return `${showWord(at)} holds ${bytesText(memory.subarray(at, at + first.length))}; wanted ${text}`
      }
      return `${showWord(at + i)} holds ${showByte(memory[at + i] ?? 0)}; wanted ${first[i]?.alone ?? 'anything'}`
    },
  }
}

/** More places than these are told by the first ones. */
const mostTold = 16

function placesText(block: readonly Place[], isMasked: boolean): string {
  const single = block.map((place) => (isMasked ? place?.value : place?.only) ?? null)
  if (single.every((value) => value !== null)) return bytesText(single)
  const told = block.map((place) => place?.alone ?? 'any')
  return told.length > mostTold ? `${told.slice(0, mostTold).join(', ')} … (${told.length} bytes)` : told.join(', ')
}

function valueOf(at: Addr, place: Place): readonly WantedValue[] {
  if (place === null) return []
  const isRight = ({ memory }: HeldAtEnd): boolean => place.accepts(memory[at] ?? 0)
  return [{ place: { kind: 'bytes', at, length: 1 }, isOne: place.only !== null, isRight }]
}

/** One byte of one value. */
export function wantedByte(at: Addr, value: number): WantedValue {
  return { place: { kind: 'bytes', at, length: 1 }, isOne: true, isRight: ({ memory }) => memory[at] === value }
}
