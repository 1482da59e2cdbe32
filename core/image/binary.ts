import type { Addr, Byte } from '../cpu/index.ts'
import type { Image } from './image.ts'
import { imageRange, makeImage } from './make-image.ts'

/** Plain bytes loaded from `origin` upwards. Throws RangeError when they reach past FFFFh. */
export function imageFromBinary(bytes: ArrayLike<Byte>, origin: Addr): Image {
  return bytes.length === 0 ? { segments: [] } : makeImage([{ start: origin, bytes }])
}

/** The bytes from the first to the last address of an image, gaps filled with `fill`. Empty for an empty image. */
export function imageToBinary(image: Image, fill: Byte = 0): Uint8Array {
  const range = imageRange(image)
  if (range === null) return new Uint8Array(0)
  const binary = new Uint8Array(range.to - range.from + 1).fill(fill)
  for (const { start, bytes } of image.segments) binary.set(bytes, start - range.from)
  return binary
}
