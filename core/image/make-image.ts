import type { Addr, Byte } from '../cpu/index.ts'
import { Cells } from './cells.ts'
import type { Image } from './image.ts'

/** Bytes with a place, as a caller has them: any order, touching or overlapping. */
export interface Piece {
  readonly start: Addr
  readonly bytes: ArrayLike<Byte>
}

/** Addresses from `from` to `to`, both included. */
export interface AddressRange {
  readonly from: Addr
  readonly to: Addr
}

/**
 * An image from pieces in any order; where two overlap the later one in the list stands. Throws RangeError when a piece
 * begins outside 0000h to FFFFh or reaches past FFFFh: callers check what users gave before.
 */
export function makeImage(pieces: Iterable<Piece>): Image {
  const cells = new Cells()
  for (const { start, bytes } of pieces) {
    if (start < 0 || start + bytes.length > 0x10000) throw new RangeError(`A piece reaches past FFFFh: ${start}`)
    for (let i = 0; i < bytes.length; i += 1) cells.put(start + i, bytes[i] ?? 0, 1)
  }
  return { segments: cells.segments() }
}

/** Both images in one. Where they meet, `upper` stands; every address they share is in `overlaps`, in ascending order. */
export function mergeImages(
  lower: Image,
  upper: Image,
): { readonly image: Image; readonly overlaps: readonly AddressRange[] } {
  const overlaps: AddressRange[] = []
  for (const a of lower.segments)
    for (const b of upper.segments) {
      const from = Math.max(a.start, b.start)
      const to = Math.min(a.start + a.bytes.length, b.start + b.bytes.length) - 1
      if (from <= to) overlaps.push({ from, to })
    }
  return {
    image: makeImage([...lower.segments, ...upper.segments]),
    overlaps: overlaps.sort((a, b) => a.from - b.from),
  }
}

/** How many bytes an image holds. */
export function imageSize(image: Image): number {
  return image.segments.reduce((sum, segment) => sum + segment.bytes.length, 0)
}

/** The byte at an address, or null where the image has none. */
export function byteAt(image: Image, address: Addr): Byte | null {
  for (const { start, bytes } of image.segments) {
    if (address < start) return null
    const byte = bytes[address - start]
    if (byte !== undefined) return byte
  }
  return null
}

/** First and last address of an image, or null for an empty one. Gaps between are part of the range. */
export function imageRange(image: Image): AddressRange | null {
  const first = image.segments[0]
  const last = image.segments.at(-1)
  if (first === undefined || last === undefined) return null
  return { from: first.start, to: last.start + last.bytes.length - 1 }
}

/** True when both hold the same bytes at the same addresses. */
export function isSameImage(a: Image, b: Image): boolean {
  return (
    a.segments.length === b.segments.length &&
    a.segments.every((segment, i) => {
      const other = b.segments[i]
      return (
        other !== undefined &&
        other.start === segment.start &&
        other.bytes.length === segment.bytes.length &&
        segment.bytes.every((byte, at) => byte === other.bytes[at])
      )
    })
  )
}
