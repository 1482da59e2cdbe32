import { describe, expect, test } from 'vitest'
import { createBusProbe, instructionSet, memoryReads, type Bus } from '../../../core/cpu/index.ts'

const silent: Bus = { readPort: () => 0x5a, writePort: () => {}, acknowledge: () => 0xff, watchedWrite: () => {} }
const at = 0x1000
const registers = {
  ...{ af: 0x1200, bc: 0x2210, de: 0x3320, hl: 0x4430, ix: 0x5540, iy: 0x6650, sp: 0x7760, pc: at },
}

let seen: number[] = []
let length = 0
const probe = createBusProbe(silent, ({ address, pins }) => {
  if (pins === 'r-m-' && (address < at || address >= at + length)) seen.push(address)
})

/** The addresses that one instruction reads, its own bytes left out, as the table says when it is executed for the bus. */
function readsOnTheBus(bytes: readonly number[], flags: number): number[] {
  seen = []
  length = bytes.length
  probe.memory.set(bytes, at)
  probe.setRegisters({ ...registers, af: registers.af | flags, isHalted: false })
  probe.step()
  return seen
}

function readsByRule(bytes: readonly number[], isTaken: boolean): number[] {
  return memoryReads((offset) => bytes[offset] ?? 0)
    .filter(({ isConditional }) => !isConditional || isTaken)
    .map(({ register, offset }) => ((register === null ? 0 : registers[register]) + offset) & 0xffff)
}

describe('what an instruction reads from memory', () => {
  test('is what the bus shows, for every encoding there is, with all flags 0 and with all flags 1', () => {
    const operands: Readonly<Record<string, number>> = { n: 0x35, nl: 0x34, nh: 0x82, d: 0xf3, e: 0x10 }
    let reading = 0
    for (const { encoding, text } of instructionSet) {
      const bytes = encoding.map((byte) => (typeof byte === 'number' ? byte : (operands[byte] ?? 0)))
      for (const flags of [0x00, 0xff]) {
        const onTheBus = readsOnTheBus(bytes, flags)
        expect([text, readsByRule(bytes, onTheBus.length > 0)]).toEqual([text, onTheBus])
        reading += onTheBus.length
      }
    }
    expect(reading).toBeGreaterThan(500)
  })

  test.each([
    ['LD A,(HL)', '7E', [['hl', 0, false]]],
    ['LD A,(1234h)', '3A 34 12', [[null, 0x1234, false]]],
    [
      'LD DE,(1234h) takes two bytes',
      'ED 5B 34 12',
      [
        [null, 0x1234, false],
        [null, 0x1235, false],
      ],
    ],
    ['LD B,(IX-1)', 'DD 46 FF', [['ix', -1, false]]],
    ['BIT 7,(IY+7Fh)', 'FD CB 7F 7E', [['iy', 127, false]]],
    [
      'POP BC',
      'C1',
      [
        ['sp', 0, false],
        ['sp', 1, false],
      ],
    ],
    [
      'RET Z, when Z is set',
      'C8',
      [
        ['sp', 0, true],
        ['sp', 1, true],
      ],
    ],
    ['LDIR reads where HL points', 'ED B0', [['hl', 0, false]]],
    ['LD (HL),A writes only', '77', []],
    ['JP (HL) reads nothing', 'E9', []],
    ['CALL reads nothing', 'CD 00 40', []],
  ])('%s', (_, hex, wanted) => {
    const bytes = hex.split(' ').map((byte) => Number.parseInt(byte, 16))
    const found = memoryReads((offset) => bytes[offset] ?? 0)
    expect(found.map(({ register, offset, isConditional }) => [register, offset, isConditional])).toEqual(wanted)
  })
})
