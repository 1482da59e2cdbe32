import { firmwareHex, firmwareLabels, firmwareSymbols } from './generated/bench-8-firmware.ts'
import { benchEightKeying } from './bench-eight-keying.ts'
import type { BoardProfile } from './profile.ts'

const { PAINT, GETKEY, WAITMS, BUZZ, GLYPH, BACK, HOOK, IGNORE, PROG } = firmwareSymbols
const word = (value: number) => [value & 0xff, value >> 8].map((byte) => byte.toString(16).padStart(2, '0')).join('')

/**
 * The demo board. Invented. 24 keys in three rows under the eight digits: 0 to 7, 8 to F, and eight named ones; number
 * = 8 · row + column. Lamps and switches stand above them, left to right as bits 7 to 0.
 */
export const benchEight: BoardProfile = {
  id: 'bench-8',
  title: 'Bench-8',
  clockHz: 2_500_000,
  memory: [
    { kind: 'rom', from: 0x0000, to: 0x0fff },
    { kind: 'ram', from: 0x4000, to: 0x47ff },
  ],
  layout: {
    program: PROG,
    programEnd: 0x45ff,
    data: 0x4600,
    digitBuffer: 0x4700,
    stackTop: 0x4800,
    interruptHook: HOOK,
  },
  display: {
    digits: 8,
    group: 2,
    segmentPort: 0x20,
    selectPort: 0x21,
    segmentBits: [0, 1, 2, 3, 4, 5, 6, 7],
    isSegmentActiveHigh: true,
    digitBits: [0, 1, 2, 3, 4, 5, 6, 7],
    isDigitActiveHigh: true,
  },
  speaker: { port: 0x22, bit: 0 },
  keypad: {
    rowPort: 0x23,
    isKeyActiveHigh: true,
    keys: [
      ['0', '8', 'AT'],
      ['1', '9', 'INSERT'],
      ['2', 'A', 'REMOVE'],
      ['3', 'B', 'CHECK'],
      ['4', 'C', 'RUN'],
      ['5', 'D', 'LEFT'],
      ['6', 'E', 'RIGHT'],
      ['7', 'F', 'STOP'],
    ],
  },
  timer: { hz: 100, startsOn: false, interruptMode: 1 },
  lamps: { port: 0x24, bits: [7, 6, 5, 4, 3, 2, 1, 0] },
  switches: { port: 0x25, bits: [7, 6, 5, 4, 3, 2, 1, 0] },
  firmware: {
    hex: firmwareHex,
    symbols: { PAINT, GETKEY, WAITMS, BUZZ, GLYPH },
    labels: firmwareLabels,
    routines: [
      {
        name: 'PAINT',
        address: PAINT,
        summary:
          'One sweep: each digit is lit for 1 ms, left to right; 20,000 T in all. The display is dark at the end.',
        needs: 'Eight bytes of segments at 4700h to 4707h.',
        gives: 'Nothing.',
        changes: ['A', 'F', 'B', 'C', 'H', 'L'],
      },
      {
        name: 'GETKEY',
        address: GETKEY,
        summary: 'Waits until all keys are up and then one is down, and sweeps the display meanwhile.',
        needs: 'Eight bytes of segments at 4700h to 4707h.',
        gives:
          'A = number of the key: 00h to 0Fh, 10h AT, 11h INSERT, 12h REMOVE, 13h CHECK, 14h RUN, 15h LEFT, 16h RIGHT, 17h STOP.',
        changes: ['A', 'F', 'B', 'C', 'H', 'L'],
      },
      {
        name: 'WAITMS',
        address: WAITMS,
        summary: 'Waits 2,500 T for each millisecond, its CALL and RET included. Nothing is shown meanwhile.',
        needs: 'BC = milliseconds; 0 returns at once.',
        gives: 'BC = 0.',
        changes: ['A', 'F', 'B', 'C'],
      },
      {
        name: 'BUZZ',
        address: BUZZ,
        summary: 'A tone: half a wave lasts 26 · DE T, so 48 is about 1000 Hz. Nothing is shown meanwhile.',
        needs:
          'HL = whole waves (1 to 32767; 0 returns at once), DE = length of half a wave in steps of 26 T (4 or more).',
        gives: 'The speaker at 0.',
        changes: ['A', 'F', 'B', 'C', 'D', 'E', 'H', 'L'],
      },
      {
        name: 'GLYPH',
        address: GLYPH,
        summary: 'The segments of a hexadecimal figure.',
        needs: 'A = the figure in its low four bits.',
        gives: 'A = segments, bit 0 = a to bit 6 = g.',
        changes: ['A', 'F', 'H', 'L'],
      },
    ],
    returnTo: BACK,
    keying: benchEightKeying,
    // The interrupt hook points at a handler that only returns. Behind it: the monitor stands at 4000h and RUN starts there,
    // a program has the board (5), no figure is held, AT and the address keyed last are 4000h.
    ready: [{ at: HOOK, hex: word(IGNORE) + word(PROG) + word(PROG) + '0500' + word(PROG) + word(PROG) }],
  },
}

/** Every board that comes with the house. */
export const boardProfiles: readonly BoardProfile[] = [benchEight]
