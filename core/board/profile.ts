import type { Addr, Byte } from '../cpu/index.ts'
import type { KeyingGuide } from './keying-guide.ts'

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

/** Addresses `from` to `to`, both included. What no region holds reads as FFh and ignores writes. */
export interface MemoryRegion {
  readonly kind: 'rom' | 'ram'
  readonly from: Addr
  readonly to: Addr
}

/** Everything that makes one board different from another. A JSON document with a published schema. */
export interface BoardProfile {
  readonly id: string
  readonly title: string
  /** T-states in a second. */
  readonly clockHz: number
  /** In ascending order, none overlapping another. */
  readonly memory: readonly MemoryRegion[]
  /** Where things stand by custom: programs, data, the digit buffer, the stack pointer at start. */
  readonly layout: {
    readonly program: Addr
    /** Last address that a program's own bytes may have, unless an exercise says otherwise. */
    readonly programEnd: Addr
    readonly data: Addr
    /** One byte of segments for each digit, left to right, that the firmware's sweep shows. */
    readonly digitBuffer: Addr
    /** SP when a program starts; the first byte pushed goes below it. */
    readonly stackTop: Addr
    /** Two bytes, low first: the address of the interrupt handler; null where the firmware has no such hook. */
    readonly interruptHook: Addr | null
  }
  readonly display: {
    /** 1 to 8. */
    readonly digits: number
    /** Digits that stand together with a gap behind them; all in one row when left out. */
    readonly group?: number
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
    /**
     * `keys[column][row]` names the key, `''` where there is none. A column is selected by the bit of the digit with
     * its number; bit `row` of the row port reads its keys. With several columns selected their keys read together.
     */
    readonly keys: readonly (readonly string[])[]
  }
  /** `interruptMode` is what the firmware has set when a program starts. */
  readonly timer: { readonly hz: number; readonly startsOn: boolean; readonly interruptMode: 0 | 1 | 2 } | null
  /** Lamps from left to right, lit by a 1. */
  readonly lamps: { readonly port: Byte; readonly bits: readonly number[] } | null
  /** Switches from left to right, 1 when on. */
  readonly switches: { readonly port: Byte; readonly bits: readonly number[] } | null
  readonly firmware: {
    /** Two hexadecimal digits a byte, from the start of ROM. ROM behind it is FFh. */
    readonly hex: string
    /** Names that a program may use without defining them. */
    readonly symbols: Readonly<Record<string, Addr>>
    /** Every place in the firmware that has a name: for listings and traces. */
    readonly labels: Readonly<Record<string, Addr>>
    readonly routines: readonly Routine[]
    /** Address the firmware leaves on the stack when it starts a program: RET goes there. Null: none. */
    readonly returnTo: Addr | null
    /** RAM that the firmware has written when a program starts; `hex` as above. */
    readonly ready: readonly { readonly at: Addr; readonly hex: string }[]
    /** How its monitor is used; left out where it has none. */
    readonly keying?: KeyingGuide
  }
}
