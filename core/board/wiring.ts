import type { Byte } from '../cpu/index.ts'
import type { BoardProfile } from './profile.ts'

/** What the bytes on the ports of a board mean, worked out once for each profile. */
export interface Wiring {
  /** Segments lit (bit 0 = a … 7 = point) for each byte on the segment port. */
  readonly segments: Uint8Array
  /** Digits selected (bit 0 = leftmost) for each byte on the select port. */
  readonly selected: Uint8Array
  /** Bytes that the latches hold after power-on and reset: nothing lit, nothing selected. */
  readonly idleSegments: Byte
  readonly idleSelect: Byte
  readonly speakerMask: Byte
}

const known = new WeakMap<BoardProfile, Wiring>()

export function wiringOf(profile: BoardProfile): Wiring {
  const before = known.get(profile)
  if (before !== undefined) return before
  const { display, speaker } = profile
  const wiring: Wiring = {
    segments: decodeTable(display.segmentBits, display.isSegmentActiveHigh),
    selected: decodeTable(display.digitBits, display.isDigitActiveHigh),
    idleSegments: display.isSegmentActiveHigh ? 0x00 : 0xff,
    idleSelect: display.isDigitActiveHigh ? 0x00 : 0xff,
    speakerMask: 1 << speaker.bit,
  }
  known.set(profile, wiring)
  return wiring
}

/** For each byte: bit k of the result says whether bit `bits[k]` of the byte is active. */
function decodeTable(bits: readonly number[], isActiveHigh: boolean): Uint8Array {
  return Uint8Array.from({ length: 256 }, (_, byte) => {
    const active = isActiveHigh ? byte : ~byte
    return bits.reduce((sum, bit, k) => sum | (((active >> bit) & 1) << k), 0)
  })
}

/** The byte to put on a port so that exactly the bits `wanted` (bit k = line k) are active. */
export function encode(wanted: number, bits: readonly number[], isActiveHigh: boolean): Byte {
  const active = bits.reduce((sum, bit, k) => sum | (((wanted >> k) & 1) << bit), 0)
  return isActiveHigh ? active : ~active & 0xff
}
