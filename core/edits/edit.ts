import { makeImage, type Image, type Segment } from '../image/index.ts'
import type { Addr, Byte } from '../cpu/index.ts'

/**
 * A change of an image by one byte, as the mending of one slip of the fingers. `insert` moves all bytes that stand behind
 * `at` in the same stretch one address up, `remove` moves them one down.
 */
export type ByteEdit =
  | { readonly kind: 'replace'; readonly at: Addr; readonly found: Byte; readonly wouldBe: Byte }
  | { readonly kind: 'insert'; readonly at: Addr; readonly wouldBe: Byte }
  | { readonly kind: 'remove'; readonly at: Addr; readonly found: Byte }
  /** The bytes at `at` and `at` + 1 change places. */
  | { readonly kind: 'swap'; readonly at: Addr; readonly found: readonly [Byte, Byte] }

/**
 * The image after the edit. Null where it cannot be made: no byte stands at `at`, or an inserted one would push its
 * stretch into the next one or past FFFFh.
 */
export function editedImage(image: Image, edit: ByteEdit): Image | null {
  const { segments } = image
  const which = segments.findIndex(
    ({ start, bytes }) => edit.at >= start && edit.at < start + bytes.length + (edit.kind === 'insert' ? 1 : 0),
  )
  const segment = segments[which]
  if (segment === undefined) return null
  const bytes = editedBytes(segment, edit)
  if (bytes === null || segment.start + bytes.length > 0x10000) return null
  const next = segments[which + 1]
  if (next !== undefined && segment.start + bytes.length > next.start) return null
  // Grown until it touches its neighbour, a stretch becomes one with it.
  const joins = next !== undefined && segment.start + bytes.length === next.start
  if (joins || bytes.length === 0) {
    return makeImage(segments.map((each, i) => (i === which ? { start: each.start, bytes } : each)))
  }
  return { segments: segments.map((each, i) => (i === which ? { start: each.start, bytes } : each)) }
}

function editedBytes({ start, bytes }: Segment, edit: ByteEdit): Uint8Array | null {
  const i = edit.at - start
  switch (edit.kind) {
    case 'replace': {
      const changed = bytes.slice()
      changed[i] = edit.wouldBe
      return changed
    }
    case 'insert': {
      const grown = new Uint8Array(bytes.length + 1)
      grown.set(bytes.subarray(0, i))
      grown[i] = edit.wouldBe
      grown.set(bytes.subarray(i), i + 1)
      return grown
    }
    case 'remove': {
      const shrunk = new Uint8Array(bytes.length - 1)
      shrunk.set(bytes.subarray(0, i))
      shrunk.set(bytes.subarray(i + 1), i)
      return shrunk
    }
    case 'swap': {
      if (i + 1 >= bytes.length) return null
      const changed = bytes.slice()
      changed[i] = bytes[i + 1] ?? 0
      changed[i + 1] = bytes[i] ?? 0
      return changed
    }
  }
}
