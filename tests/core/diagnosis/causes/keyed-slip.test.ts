import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../../core/board/index.ts'
import { disorder } from '../../../../core/diagnosis/causes/disorder.ts'
import { likelySlips } from '../../../../core/diagnosis/causes/keyed-slip.ts'
import { modelProgram } from '../../../../core/exercise/index.ts'
import { makeImage, type Image } from '../../../../core/image/index.ts'
import { exerciseOf } from '../../exercise/tram-depot.ts'

const at4000 = (...bytes: readonly number[]): Image => makeImage([{ start: 0x4000, bytes }])
const orderOf = (...bytes: readonly number[]): number => disorder(at4000(...bytes), benchEight)

describe('the disorder of a program of bytes', () => {
  test('is nothing for model answers without a table', () => {
    for (const folder of ['A4', 'B3', 'B6', 'C1', 'C2', 'C4']) {
      const model = modelProgram(exerciseOf(folder), benchEight)
      expect(model === null ? null : disorder(model.image, benchEight)).toBe(0)
    }
  })
  test.each([
    // LD B,3; loop: INC A; DJNZ loop; HALT.
    ['in order', [0x06, 0x03, 0x3c, 0x10, 0xfd, 0x76], 0],
    ['a jump into the middle of an instruction', [0x06, 0x03, 0x3c, 0x10, 0xfc, 0x76], 2],
    ['a jump to where nothing is', [0xc3, 0x00, 0x50], 2],
    ['a call of a routine of the firmware', [0xcd, ...wordOf('PAINT'), 0x76], 0],
    ['no end', [0x06, 0x03], 1],
    ['an instruction cut off', [0x3c, 0x06], 3],
    ['LD B,B', [0x40, 0x76], 1],
    ['a store into ROM', [0x32, 0x00, 0x00, 0x76], 2],
  ] as const)('%s', (_, bytes, expected) => expect(orderOf(...bytes)).toBe(expected))
})

function wordOf(name: string): readonly number[] {
  const address = benchEight.firmware.routines.find((routine) => routine.name === name)?.address ?? 0
  return [address & 0xff, address >> 8]
}

describe('slips of the fingers that can be seen before a run', () => {
  const right = [0x06, 0x03, 0x3c, 0x10, 0xfd, 0x76]
  const bytesOf = ({ segments }: Image): readonly number[] => segments.flatMap(({ bytes }) => [...bytes])
  test.each([
    ['a byte twice', [0x06, 0x06, 0x03, 0x3c, 0x10, 0xfd, 0x76]],
    ['a byte left out that stands elsewhere too', [0x06, 0x06, 0x03, 0x3c, 0x10, 0x76, 0x06, 0xfd, 0x76]],
    ['two in each other’s place', [0x06, 0x03, 0x3c, 0xfd, 0x10, 0x76]],
  ] as const)('%s', (_, bytes) => {
    expect(likelySlips(at4000(...bytes), benchEight).length).toBeGreaterThan(0)
  })
  test('the right program is among the first for a byte twice and for an exchange', () => {
    for (const bytes of [
      [0x06, 0x06, 0x03, 0x3c, 0x10, 0xfd, 0x76],
      [0x06, 0x03, 0x3c, 0xfd, 0x10, 0x76],
    ]) {
      const first = likelySlips(at4000(...bytes), benchEight).slice(0, 8)
      expect(first.map(({ image }) => bytesOf(image))).toContainEqual(right)
    }
  })
  test('are not looked for in more than 256 bytes', () => {
    expect(likelySlips(at4000(...Array.from({ length: 257 }, () => 0x40)), benchEight)).toEqual([])
    expect(likelySlips(at4000(...Array.from({ length: 256 }, () => 0x40)), benchEight).length).toBeGreaterThan(0)
  })
})
