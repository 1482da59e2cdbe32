import type { Addr, Byte } from '../cpu/index.ts'
import type { Image, Problem, ReservedRange } from '../image/index.ts'

/** How a program may be written down when it is handed in. */
export type ProgramFormat = 'hex' | 'intel-hex' | 'assembly'

/** One line of a listing. Lines count from 1 and stand for the text as handed in. */
export interface ListingLine {
  readonly line: number
  readonly kind: 'instruction' | 'data' | 'other'
  readonly address: Addr | null
  readonly bytes: readonly Byte[]
  /** T-states when the condition holds; null where the line is no instruction. */
  readonly tStates: number | null
  readonly tStatesNotTaken: number | null
  readonly label: string | null
  /** The line as written (assembly), or as disassembled (hex). In a macro its parameters are written out. */
  readonly source: string
  /** For a line that a macro or REPT put in: the line of the text that called it. `line` is where it stands itself. */
  readonly calledFrom?: number
}

/** What reading a hand-in gives. With an error among `problems` the image holds what could still be read. */
export interface Program {
  readonly isOk: boolean
  readonly format: ProgramFormat
  readonly image: Image
  /** Where execution starts: the END operand, else the lowest address loaded, else the default origin. */
  readonly entry: Addr
  readonly listing: readonly ListingLine[]
  readonly symbols: Readonly<Record<string, number>>
  readonly problems: readonly Problem[]
}

export interface ReadOptions {
  /** Where a hex dump without addresses, or assembly before any ORG, begins. */
  readonly origin: Addr
  /** Names known beforehand: the firmware's routines, an exercise's constants. */
  readonly symbols?: Readonly<Record<string, number>>
  /** Where bytes may stand, both ends included (`out-of-place` otherwise). */
  readonly allowed?: readonly { readonly from: Addr; readonly to: Addr }[]
  /** Where none may stand though `allowed` takes it in (`reserved` otherwise). */
  readonly reserved?: readonly ReservedRange[]
  /** Most bytes an image may hold (default 4096). */
  readonly maxBytes?: number
  /** Most lines a source text may have (default 20,000, or as many as the disassembly of `maxBytes` may have). */
  readonly maxLines?: number
}
