import fc from 'fast-check'
import { createHash } from 'node:crypto'
import { describe, expect, test } from 'vitest'
import {
  byteAt,
  imageDigest,
  imageFromBinary,
  imageRange,
  imageSize,
  imageToBinary,
  isSameImage,
  makeImage,
  mergeImages,
  sha256,
  showCharacter,
  showCount,
} from '../../../core/image/index.ts'

describe('making an image', () => {
  test('pieces are ordered and those that touch are joined', () => {
    const image = makeImage([
      { start: 0x4002, bytes: [3] },
      { start: 0x4000, bytes: [1, 2] },
      { start: 0x4010, bytes: [9] },
    ])
    expect(image.segments).toEqual([
      { start: 0x4000, bytes: Uint8Array.of(1, 2, 3) },
      { start: 0x4010, bytes: Uint8Array.of(9) },
    ])
    expect(imageSize(image)).toBe(4)
    expect(imageRange(image)).toEqual({ from: 0x4000, to: 0x4010 })
    expect([0x3fff, 0x4000, 0x4002, 0x4003, 0x4010, 0x4011].map((at) => byteAt(image, at))).toEqual([
      ...[null, 1, 3],
      ...[null, 9, null],
    ])
  })

  test('the last address of memory can be filled, none behind it', () => {
    expect(makeImage([{ start: 0xffff, bytes: [7] }]).segments).toHaveLength(1)
    expect(() => makeImage([{ start: 0xffff, bytes: [7, 8] }])).toThrow(RangeError)
  })

  test('merging names what both images claim; the upper one stands', () => {
    const lower = makeImage([{ start: 0, bytes: [1, 2, 3, 4] }])
    const upper = makeImage([{ start: 2, bytes: [8, 9, 10] }])
    const merged = mergeImages(lower, upper)
    expect(merged.overlaps).toEqual([{ from: 2, to: 3 }])
    expect(merged.image.segments).toEqual([{ start: 0, bytes: Uint8Array.of(1, 2, 8, 9, 10) }])
  })
})

describe('binary', () => {
  test('gaps are filled with the byte asked for', () => {
    const image = makeImage([
      { start: 0x10, bytes: [1] },
      { start: 0x13, bytes: [2] },
    ])
    expect(imageToBinary(image, 0xff)).toEqual(Uint8Array.of(1, 0xff, 0xff, 2))
    expect(imageToBinary({ segments: [] })).toEqual(new Uint8Array(0))
  })

  test('bytes without gaps come back as they were', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), fc.integer({ min: 0, max: 0xff00 }), (bytes, origin) => {
        expect(imageToBinary(imageFromBinary(bytes, origin))).toEqual(bytes)
      }),
    )
  })
})

describe('digest', () => {
  // FIPS 180-4 example values as commonly printed; node:crypto is the outside check for everything else.
  test.each([
    ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
  ])('SHA-256 of %j', (text, digest) => {
    expect(sha256(Buffer.from(text))).toBe(digest)
  })

  test('SHA-256 agrees with node:crypto', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => {
        expect(sha256(bytes)).toBe(createHash('sha256').update(bytes).digest('hex'))
      }),
    )
  })

  test('equal images have equal digests; another address or a gap makes another', () => {
    const a = makeImage([{ start: 0x4000, bytes: [1, 2] }])
    const b = makeImage([
      { start: 0x4001, bytes: [2] },
      { start: 0x4000, bytes: [1] },
    ])
    expect(isSameImage(a, b)).toBe(true)
    expect(imageDigest(a)).toBe(imageDigest(b))
    const moved = makeImage([{ start: 0x4001, bytes: [1, 2] }])
    const parted = makeImage([
      { start: 0x4000, bytes: [1] },
      { start: 0x4002, bytes: [2] },
    ])
    expect(new Set([a, moved, parted].map(imageDigest)).size).toBe(3)
    expect(isSameImage(a, moved) || isSameImage(a, parted)).toBe(false)
  })
})

describe('words', () => {
  test.each([
    ['G', "'G'"],
    ['“', "'“' (U+201C)"],
    ['\u00A0', 'a no-break space (U+00A0)'],
    ['\t', 'a tab (U+0009)'],
    ['\u0007', 'U+0007'],
  ])('the character %j is called %s', (character, name) => {
    expect(showCharacter(character)).toBe(name)
  })

  test('counts have their noun and thousands their comma', () => {
    expect([1, 2, 4096, 1234567].map((n) => showCount(n, 'byte'))).toEqual([
      ...['1 byte', '2 bytes'],
      ...['4,096 bytes', '1,234,567 bytes'],
    ])
  })
})
