import type { Addr, Byte } from '../cpu/index.ts'

/** A routine of the firmware, as a student may call it. */
export interface Routine {
  readonly name: string
  readonly address: Addr
  readonly summary: string
  /** What must be in which register or memory before the call. */
  readonly needs: string
  /** What is where after it. */
  readonly gives: string
  /** Registers that do not survive the call: `['A', 'F', 'B', 'C']`. */
  readonly changes: readonly string[]
}

/** Everything that makes one board different from another. A JSON document with a published schema. */
export interface BoardProfile {
  readonly id: string
  readonly title: string
  readonly clockHz: number
  readonly memory: readonly { readonly kind: 'rom' | 'ram'; readonly from: Addr; readonly to: Addr }[]
  /** Where things stand by custom: programs, data, the digit buffer, the stack pointer at start. */
  readonly layout: {
    readonly program: Addr
    readonly data: Addr
    readonly digitBuffer: Addr
    readonly stackTop: Addr
    readonly interruptHook: Addr | null
  }
  readonly display: {
    readonly digits: number
    readonly segmentPort: Byte
    readonly selectPort: Byte
    /** Bit of the segment port for segments a to g and the point, in that order. */
    readonly segmentBits: readonly number[]
    readonly isSegmentActiveHigh: boolean
    /** Bit of the select port for each digit from left to right. */
    readonly digitBits: readonly number[]
    readonly isDigitActiveHigh: boolean
  }
  readonly speaker: { readonly port: Byte; readonly bit: number }
  readonly keypad: {
    readonly rowPort: Byte
    readonly isKeyActiveHigh: boolean
    /** `keys[column][row]` names the key; columns are selected by the digit select port. */
    readonly keys: readonly (readonly string[])[]
  }
  readonly timer: { readonly hz: number; readonly startsOn: boolean } | null
  readonly lamps: { readonly port: Byte; readonly bits: readonly number[] } | null
  readonly switches: { readonly port: Byte; readonly bits: readonly number[] } | null
  readonly firmware: {
    /** Two hexadecimal digits a byte, from the start of ROM. */
    readonly hex: string
    readonly symbols: Readonly<Record<string, Addr>>
    readonly routines: readonly Routine[]
  }
}
