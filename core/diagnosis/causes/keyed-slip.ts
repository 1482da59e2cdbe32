import type { BoardProfile } from '../../board/index.ts'
import type { Byte } from '../../cpu/index.ts'
import { imageSize, type Image } from '../../image/index.ts'
import { addressesOf, likelyReplacements, removals, swaps, editedImage, type ByteEdit } from '../../edits/index.ts'
import { disorder } from './disorder.ts'

/** Longest program looked through, in bytes. */
const longest = 256
/** Most slips worth a run. */
const most = 60

/** A slip of the fingers undone. */
export interface UndoneSlip {
  readonly edit: ByteEdit
  readonly image: Image
}

/**
 * Slips of the fingers whose undoing puts a program of bytes in order again: jumps that lead into the middle of
 * instructions lead to their starts, and so on. Likeliest first; all found without a run. A byte that stands twice is always
 * among them.
 */
export function likelySlips(image: Image, profile: BoardProfile): readonly UndoneSlip[] {
  if (imageSize(image) > longest) return []
  const before = disorder(image, profile)
  const found: { readonly edit: ByteEdit; readonly image: Image; readonly order: number }[] = []
  for (const edit of edits(image)) {
    const edited = editedImage(image, edit)
    if (edited === null) continue
    const order = disorder(edited, profile) - (isTwice(image, edit) ? 1 : 0)
    if (order < before) found.push({ edit, image: edited, order })
  }
  return found.toSorted((a, b) => a.order - b.order).slice(0, most)
}

function* edits(image: Image): Generator<ByteEdit> {
  yield* removals(image)
  yield* swaps(image)
  yield* likelyReplacements(image, [...addressesOf(image)])
  // A byte that is missing is most often one that the program has elsewhere too.
  const values = [...new Set(image.segments.flatMap(({ bytes }): readonly Byte[] => [...bytes]))].sort((a, b) => a - b)
  for (const { start, bytes } of image.segments) {
    for (let i = 0; i <= bytes.length; i++) {
      for (const wouldBe of values) if (bytes[i - 1] !== wouldBe) yield { kind: 'insert', at: start + i, wouldBe }
    }
  }
}

function isTwice({ segments }: Image, { kind, at }: ByteEdit): boolean {
  if (kind !== 'remove') return false
  return segments.some(
    ({ start, bytes }) => bytes[at - start] !== undefined && bytes[at - start] === bytes[at - start + 1],
  )
}
