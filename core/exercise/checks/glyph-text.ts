import { glyphOf } from '../../board/index.ts'
import type { Byte } from '../../cpu/index.ts'

/** What digits show, left to right. */
export function glyphText(segments: Iterable<Byte>): string {
  return Array.from(segments, glyphOf).join('')
}
