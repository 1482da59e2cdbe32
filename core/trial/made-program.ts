import { readProgram, type Program, type ReadOptions } from '../assembler/index.ts'
import type { Addr } from '../cpu/index.ts'
import { writeHexDump, type Image } from '../image/index.ts'

/**
 * A program made of an image alone, as if it had been handed in as a hex dump. Its listing, which few checks look at, is
 * made when it is asked for.
 */
export function madeProgram(image: Image, entry: Addr, options: ReadOptions): Program {
  let read: Program | null = null
  return {
    isOk: true,
    format: 'hex',
    image,
    entry,
    get listing() {
      read ??= readProgram({ format: 'hex', text: writeHexDump(image) }, options)
      return read.listing
    },
    symbols: {},
    problems: [],
  }
}
