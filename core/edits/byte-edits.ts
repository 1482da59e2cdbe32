import type { Addr, Byte } from '../cpu/index.ts'
import { byteAt, type Image } from '../image/index.ts'
import type { ByteEdit } from './edit.ts'

/** Every address of an image, rising. */
export function* addressesOf(image: Image): Generator<Addr> {
  for (const { start, bytes } of image.segments) for (let i = 0; i < bytes.length; i++) yield start + i
}

/** Two neighbours change places; equal ones would change nothing and are left out. */
export function* swaps(image: Image): Generator<ByteEdit> {
  for (const { start, bytes } of image.segments) {
    for (let i = 0; i + 1 < bytes.length; i++) {
      const [first = 0, second = 0] = [bytes[i], bytes[i + 1]]
      if (first !== second) yield { kind: 'swap', at: start + i, found: [first, second] }
    }
  }
}

/** One byte is taken out. Of equal neighbours only the first is: the others would give the same image. */
export function* removals(image: Image): Generator<ByteEdit> {
  for (const { start, bytes } of image.segments) {
    for (const [i, found] of bytes.entries()) {
      if (i === 0 || bytes[i - 1] !== found) yield { kind: 'remove', at: start + i, found }
    }
  }
}

/** One byte, each with each other value: 255 for each byte. */
export function* replacements(image: Image, at: Iterable<Addr> = addressesOf(image)): Generator<ByteEdit> {
  for (const address of at) {
    const found = byteAt(image, address)
    if (found === null) continue
    for (let wouldBe = 0; wouldBe < 256; wouldBe++) {
      if (wouldBe !== found) yield { kind: 'replace', at: address, found, wouldBe }
    }
  }
}

const everyByte = Array.from({ length: 256 }, (_, byte) => byte)

/**
 * One byte more, of each of these values, before each byte and behind the last one of each stretch. A byte equal to the one before
 * the gap would give the same image as one gap earlier and is left out.
 */
export function* insertions(image: Image, values: Iterable<Byte> = everyByte): Generator<ByteEdit> {
  const all = [...values]
  for (const { start, bytes } of image.segments) {
    for (let i = 0; i <= bytes.length; i++) {
      for (const wouldBe of all) {
        if (i === 0 || bytes[i - 1] !== wouldBe) yield { kind: 'insert', at: start + i, wouldBe }
      }
    }
  }
}

/** Figures that are taken for each other, on seven segments or in handwriting (common practice, no source). */
const lookAlikes = ['8B', '6B', '0D', '17', '56', '38', '69', 'CE', 'EF', '3E', '08', '49', 'AD']

const nibblesLike: readonly (readonly number[])[] = Array.from({ length: 16 }, (_, nibble) => {
  const figure = nibble.toString(16).toUpperCase()
  return lookAlikes
    .filter((pair) => pair.includes(figure))
    .map((pair) => Number.parseInt(pair.replace(figure, ''), 16))
    .filter((value) => !Number.isNaN(value))
})

/**
 * What a byte probably should have been, likeliest first: one figure read as one that looks like it; its two figures the
 * wrong way round; one or two more or less; a sign forgotten; decimal keyed as hexadecimal; any other slip in one figure;
 * hexadecimal keyed as decimal.
 */
export function likelyBytes(found: Byte): readonly Byte[] {
  const high = found >> 4
  const low = found & 15
  const alike = [
    ...(nibblesLike[high] ?? []).map((nibble) => (nibble << 4) | low),
    ...(nibblesLike[low] ?? []).map((nibble) => (high << 4) | nibble),
  ]
  const decimal = high <= 9 && low <= 9 ? [10 * high + low] : []
  // The value meant in decimal and keyed in hexadecimal: 21 for 15h.
  const hexadecimal = found < 100 ? [(Math.floor(found / 10) << 4) | (found % 10)] : []
  const near = [found + 1, found - 1, found + 2, found - 2, -found, (low << 4) | high].map((value) => value & 0xff)
  const oneFigure = Array.from({ length: 16 }, (_, nibble) => [(high << 4) | nibble, (nibble << 4) | low]).flat()
  return [...new Set([...alike, ...near, ...decimal, ...oneFigure, ...hexadecimal])].filter((value) => value !== found)
}

/** The likely replacements of each of these bytes, in turns: first the likeliest of every byte, then the next; so many of each. */
export function* likelyReplacements(image: Image, at: Iterable<Addr>, most = Infinity): Generator<ByteEdit> {
  const rows = [...at].map((address) => {
    const found = byteAt(image, address) ?? 0
    return { address, found, values: likelyBytes(found) }
  })
  for (let rank = 0; rank < most && rows.some(({ values }) => rank < values.length); rank++) {
    for (const { address, found, values } of rows) {
      const wouldBe = values[rank]
      if (wouldBe !== undefined) yield { kind: 'replace', at: address, found, wouldBe }
    }
  }
}
