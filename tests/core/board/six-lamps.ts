import type { BoardProfile } from '../../../core/board/index.ts'

/** A second invented board that differs from Bench-8 in all that can differ: six digits, active low, other wiring. */
export const sixLamps: BoardProfile = {
  id: 'six-lamps',
  title: 'Six Lamps',
  clockHz: 4_000_000,
  memory: [
    { kind: 'ram', from: 0x0000, to: 0x7fff },
    { kind: 'rom', from: 0xe000, to: 0xffff },
  ],
  layout: {
    program: 0x0100,
    programEnd: 0x1fff,
    data: 0x2000,
    digitBuffer: 0x3000,
    stackTop: 0x8000,
    interruptHook: null,
  },
  display: {
    digits: 6,
    segmentPort: 0x80,
    selectPort: 0x81,
    segmentBits: [7, 6, 5, 4, 3, 2, 1, 0],
    isSegmentActiveHigh: false,
    digitBits: [5, 4, 3, 2, 1, 0],
    isDigitActiveHigh: false,
  },
  speaker: { port: 0x81, bit: 7 },
  keypad: {
    rowPort: 0x82,
    isKeyActiveHigh: false,
    keys: [
      ['A', 'B'],
      ['C', ''],
    ],
  },
  timer: { hz: 50, startsOn: true, interruptMode: 2 },
  lamps: null,
  switches: { port: 0x82, bits: [6, 7] },
  firmware: { hex: '', symbols: {}, labels: {}, routines: [], returnTo: null, ready: [] },
}
