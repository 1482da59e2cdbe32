import type { Addr, Byte } from '../cpu/index.ts'
import type { Image } from './image.ts'
import type { Problem } from './problem.ts'

/** The bytes that one line of a text put into memory. Lines count from 1. */
export interface LoadedLine {
  readonly line: number
  readonly address: Addr
  readonly bytes: readonly Byte[]
}

/** What reading a hex dump or Intel HEX gives. With an error among `problems`, the image holds what could still be read. */
export interface ImageReading {
  readonly image: Image
  readonly lines: readonly LoadedLine[]
  /** The start address that the text itself names, where its format can. */
  readonly start: Addr | null
  readonly problems: readonly Problem[]
}
