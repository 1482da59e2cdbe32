import { byteAt, imageSize, type Image } from '../../../core/image/index.ts'
import type { Random } from '../../../core/run/index.ts'
import { addressesOf } from '../../../core/edits/byte-edits.ts'
import { editedImage, type ByteEdit } from '../../../core/edits/edit.ts'

/** A program with one byte changed to another one by chance; the same for the same numbers. */
export function spoiled(image: Image, random: Random): { readonly image: Image; readonly slip: ByteEdit } {
  const addresses = [...addressesOf(image)]
  const at = addresses[random.under(imageSize(image))] ?? 0
  const found = byteAt(image, at) ?? 0
  const slip: ByteEdit = { kind: 'replace', at, found, wouldBe: (found + 1 + random.under(255)) & 0xff }
  const changed = editedImage(image, slip)
  if (changed === null) throw new Error('a byte can always be changed')
  return { image: changed, slip }
}
