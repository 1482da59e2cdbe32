import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { imageSize, isSameImage, makeImage, type Image } from '../../../core/image/index.ts'
import { insertions, likelyBytes, removals, replacements, swaps } from '../../../core/edits/byte-edits.ts'
import { editedImage, type ByteEdit } from '../../../core/edits/edit.ts'
import { sourceEdits } from '../../../core/edits/source-edits.ts'
import { madeProgram } from '../../../core/trial/made-program.ts'

const at4000 = (...bytes: number[]): Image => makeImage([{ start: 0x4000, bytes }])
const bytesOf = (image: Image | null): string =>
  (image?.segments ?? []).map(({ start, bytes }) => `${start.toString(16)}: ${[...bytes].join(' ')}`).join('; ')

describe('an edit of one byte', () => {
  const image = at4000(1, 2, 3)
  const edits: readonly [string, ByteEdit, string][] = [
    ['replaces', { kind: 'replace', at: 0x4001, found: 2, wouldBe: 9 }, '4000: 1 9 3'],
    ['puts in before', { kind: 'insert', at: 0x4000, wouldBe: 9 }, '4000: 9 1 2 3'],
    ['puts in behind the last', { kind: 'insert', at: 0x4003, wouldBe: 9 }, '4000: 1 2 3 9'],
    ['takes out', { kind: 'remove', at: 0x4000, found: 1 }, '4000: 2 3'],
    ['exchanges neighbours', { kind: 'swap', at: 0x4001, found: [2, 3] }, '4000: 1 3 2'],
  ]
  test.each(edits)('%s', (_, edit, wanted) => expect(bytesOf(editedImage(image, edit))).toBe(wanted))

  test('leaves the image that it was given as it was', () => {
    for (const [, edit] of edits) editedImage(image, edit)
    expect(bytesOf(image)).toBe('4000: 1 2 3')
  })
  test('cannot be made where no byte stands', () => {
    expect(editedImage(image, { kind: 'replace', at: 0x4003, found: 0, wouldBe: 1 })).toBe(null)
    expect(editedImage(image, { kind: 'swap', at: 0x4002, found: [3, 0] })).toBe(null)
    expect(editedImage(image, { kind: 'remove', at: 0x3fff, found: 0 })).toBe(null)
  })
  test('does not push a stretch into the next one, and joins those that touch', () => {
    const two = makeImage([
      { start: 0x4000, bytes: [1] },
      { start: 0x4002, bytes: [2] },
    ])
    const joined = editedImage(two, { kind: 'insert', at: 0x4000, wouldBe: 9 })
    expect(bytesOf(joined)).toBe('4000: 9 1 2')
    const full = makeImage([{ start: 0xffff, bytes: [1] }])
    expect(editedImage(full, { kind: 'insert', at: 0xffff, wouldBe: 9 })).toBe(null)
  })
  test('taking out the only byte leaves nothing', () => {
    expect(editedImage(at4000(7), { kind: 'remove', at: 0x4000, found: 7 })).toEqual({ segments: [] })
  })
})

describe('all edits of an image', () => {
  const some = fc.uint8Array({ minLength: 1, maxLength: 6 }).map((bytes) => at4000(...bytes))
  const all = [replacements, swaps, removals, insertions]

  test('are different images, each at distance 1, none the image itself', () => {
    fc.assert(
      fc.property(some, (image) => {
        const images = all.flatMap((edits) => [...edits(image)].map((edit) => bytesOf(editedImage(image, edit))))
        // Exchanging two neighbours or taking one out may by chance give what replacing one gives only for distance 2.
        const swapped = [...swaps(image)].map((edit) => bytesOf(editedImage(image, edit)))
        expect(images).not.toContain(bytesOf(image))
        expect(new Set(images.filter((each) => !swapped.includes(each))).size).toBe(
          images.filter((each) => !swapped.includes(each)).length,
        )
      }),
      { numRuns: 20 },
    )
  })
  test('a slip of each kind is mended by an edit of another kind or the same', () => {
    fc.assert(
      fc.property(some, fc.nat(), fc.nat(255), (image, where, value) => {
        const size = imageSize(image)
        const slips: readonly ByteEdit[] = [
          { kind: 'insert', at: 0x4000 + (where % (size + 1)), wouldBe: value },
          { kind: 'remove', at: 0x4000 + (where % size), found: 0 },
        ]
        for (const slip of slips) {
          const spoilt = editedImage(image, slip)
          if (spoilt === null || imageSize(spoilt) === 0) continue
          const mends = [...(slip.kind === 'insert' ? removals(spoilt) : insertions(spoilt))]
          expect(mends.some((edit) => isSameImage(editedImage(spoilt, edit) ?? spoilt, image))).toBe(true)
        }
      }),
      { numRuns: 50 },
    )
  })
  test('a whole byte has 255 others, whatever it is', () => {
    expect([...replacements(at4000(5))].length).toBe(255)
  })
})

// Pairs of figures that are taken for each other: common practice, no source.
test.each([
  [0x8e, 0xbe],
  [0x06, 0x0b],
  [0x0d, 0xdd],
])('%i is likely to have been meant as %i', (found, meant) => expect(likelyBytes(found).slice(0, 6)).toContain(meant))

test.each([
  [0xe3, 0xe4, 'one more'],
  [0x0e, 0xf2, 'the sign forgotten'],
  [0x12, 0x21, 'figures the wrong way round'],
  [0x16, 0x10, 'decimal keyed as hexadecimal'],
  [0x4f, 0x40, 'a slip in one figure'],
])('%i is likely to have been meant as %i: %s', (found, meant) => expect(likelyBytes(found)).toContain(meant))

test('a likely byte is never the byte itself and stands once', () => {
  for (let found = 0; found < 256; found++) {
    const likely = likelyBytes(found)
    expect(likely).not.toContain(found)
    expect(new Set(likely).size).toBe(likely.length)
  }
})

describe('an edit of one instruction', () => {
  const options = { origin: 0x4000, symbols: { PAINT: 0x40 } }
  const text = 'START: LD HL,4600h ; data\n LD A,(HL)\n CP 5\n JR NZ,START\n CALL PAINT\n HALT\n'
  const program = assemble(text, options)
  const edits = [...sourceEdits(program, options)]
  const after = (found: string, wouldBe: string | null): string | undefined => {
    const edit = edits.find((each) => each.found === found && each.wouldBe === wouldBe)
    return edit === undefined ? undefined : bytesOf(edit.image)
  }
  const same = (source: string): string => bytesOf(assemble(source, options).image)

  test('adds one to an operand', () => {
    expect(after('LD HL,4600h', 'LD HL,4600h+1')).toBe(same(text.replace('4600h', '4601h')))
  })
  test('flips a condition', () => {
    expect(after('JR NZ,START', 'JR Z,START')).toBe(same(text.replace('NZ', 'Z')))
  })
  test('takes another register', () => {
    expect(after('LD A,(HL)', 'LD B,(HL)')).toBe(same(text.replace('LD A,', 'LD B,')))
  })
  test('takes the contents for the value, and moves all that stands behind', () => {
    expect(after('LD HL,4600h', 'LD HL,(4600h)')).toBe(same(text.replace('4600h', '(4600h)')))
    expect(after('CP 5', 'CP (5)')).toBe(undefined)
  })
  test('leaves an instruction out and keeps its label', () => {
    expect(after('LD HL,4600h', null)).toBe(same(text.replace('LD HL,4600h', '')))
  })
  test('exchanges neighbours', () => {
    expect(after('LD A,(HL) / CP 5', 'CP 5 / LD A,(HL)')).toBe(
      same(text.replace('LD A,(HL)\n CP 5', 'CP 5\n LD A,(HL)')),
    )
  })
  test('names the line of the text and the address', () => {
    expect(edits.find(({ found }) => found === 'CP 5')).toMatchObject({ at: 0x4004, line: 3 })
  })
  test('is found for bytes too, by way of a disassembly', () => {
    const made = madeProgram(program.image, 0x4000, options)
    const dropped = [...sourceEdits(made, options)].filter(({ kind }) => kind === 'dropped')
    expect(dropped.map(({ at, line }) => [at, line])).toEqual(
      [0x4000, 0x4003, 0x4004, 0x4006, 0x4008, 0x400b].map((at) => [at, null]),
    )
    expect(dropped.map(({ image }) => bytesOf(image))).toContain(same(text.replace('CALL PAINT', '')))
  })
})
