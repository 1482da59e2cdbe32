import { describe, expect, test } from 'vitest'
import { readProgram, type Program } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { hintOf, nearestPassing, type Repair } from '../../../core/diagnosis/index.ts'
import { modelProgram, readOptionsFor } from '../../../core/exercise/index.ts'
import { gradeProgram } from '../../../core/grading/index.ts'
import { makeImage } from '../../../core/image/index.ts'
import { exerciseOf, programOf } from '../exercise/tram-depot.ts'

const a1 = exerciseOf('A1')
const a4 = exerciseOf('A4')

function hex(text: string): Program {
  return readProgram({ format: 'hex', text }, { origin: 0x4000 })
}

function repairOf(found: ReturnType<typeof nearestPassing>): Repair {
  if (found.outcome !== 'found') throw new Error(`expected an edit, the search ended with '${found.outcome}'`)
  return found.repair
}

// The sheet of A1 is 3E 05 06 03 80 10 FD 76.
describe('a slip on the keying sheet is found', () => {
  const slips: readonly [string, string, Partial<Repair>][] = [
    ['6 read as b', '3E 05 0B 03 80 10 FD 76', { kind: 'replace', at: 0x4002, found: [0x0b], wouldBe: [0x06] }],
    ['8 read as B', '3E 05 06 03 B0 10 FD 76', { kind: 'replace', at: 0x4004, found: [0xb0], wouldBe: [0x80] }],
    ['neighbours exchanged', '3E 06 05 03 80 10 FD 76', { kind: 'swap', at: 0x4001, found: [6, 5], wouldBe: [5, 6] }],
    ['a byte left out', '3E 05 06 80 10 FD 76', { kind: 'insert', at: 0x4003, found: [], wouldBe: [0x03] }],
    ['a byte keyed twice', '3E 05 06 03 80 80 10 FD 76', { kind: 'remove', at: 0x4004, found: [0x80], wouldBe: [] }],
  ]
  test.each(slips)('%s', (_, text, wanted) => {
    expect(repairOf(nearestPassing(hex(text), a1, benchEight))).toMatchObject(wanted)
  })
})

test('what is found gets full marks, and says how the instruction reads before and after', () => {
  const model = modelProgram(a4, benchEight)
  if (model === null) throw new Error('A4 has a model answer')
  // ADD A,(HL) keyed as ADC A,(HL), one figure off: a carry left from before is taken in.
  const bytes = model.image.segments[0]?.bytes.slice() ?? new Uint8Array()
  const at = bytes.indexOf(0x86)
  bytes[at] = 0x8e
  const image = makeImage([{ start: 0x4000, bytes }])
  const repair = repairOf(nearestPassing({ ...model, format: 'hex', image }, a4, benchEight))
  expect(repair.instruction).toEqual({ found: 'ADC A,(HL)', wouldBe: 'ADD A,(HL)' })
  expect(gradeProgram({ ...model, image: repair.image }, a4, benchEight).isFullMarks).toBe(true)
})

test('a mistake in one instruction of a source text is told with its line', () => {
  const text = programOf('A4', 'wrong-adc-first.asm')
  const program = readProgram(text, readOptionsFor(a4, benchEight))
  const repair = repairOf(nearestPassing(program, a4, benchEight))
  expect(gradeProgram({ ...program, image: repair.image }, a4, benchEight).isFullMarks).toBe(true)
})

test('an instruction with a wrong word in it is found though no single byte mends it', () => {
  // 45FEh + 2 = 4600h: both bytes of the word differ.
  const text = ' LD HL,45FEh\n LD A,(HL)\n INC L\n ADD A,(HL)\n LD (4602h),A\n LD A,0\n ADC A,A\n LD (4603h),A\n HALT\n'
  const program = readProgram({ format: 'assembly', text }, readOptionsFor(a4, benchEight))
  const repair = repairOf(nearestPassing(program, a4, benchEight))
  expect(repair).toMatchObject({
    kind: 'operand',
    at: 0x4000,
    line: 1,
    found: [0x21, 0xfe, 0x45],
    wouldBe: [0x21, 0, 0x46],
  })
})

describe('a search ends without an edit', () => {
  const wrong = hex('00 76')
  test('for a program that passes already', () => {
    expect(nearestPassing(hex('3E 05 06 03 80 10 FD 76'), a1, benchEight)).toEqual({ outcome: 'passes', tried: 0 })
  })
  test('for one that is too far from any answer', () => {
    expect(nearestPassing(wrong, a1, benchEight).outcome).toBe('none')
  })
  test('for one that is too long, or cannot be read', () => {
    expect(nearestPassing(hex('00 '.repeat(65)), a1, benchEight)).toEqual({ outcome: 'too-long', tried: 0 })
    expect(nearestPassing(hex('3E 0'), a1, benchEight)).toEqual({ outcome: 'unreadable', tried: 0 })
  })
  test('when it is stopped, or its work is done', () => {
    const calls: number[] = []
    const stopped = nearestPassing(wrong, a1, benchEight, {
      onProgress: ({ tried }) => {
        calls.push(tried)
        return tried < 128
      },
    })
    expect(stopped).toEqual({ outcome: 'stopped', tried: 128 })
    expect(calls).toEqual([0, 64, 128])
    const short = nearestPassing(wrong, a1, benchEight, { work: 1_000_000 })
    expect(short.outcome).toBe('stopped')
    expect(short.tried).toBeLessThan(400)
  })
})

test('the same hand-in gives the same edit every time', () => {
  const once = nearestPassing(hex('3E 05 06 03 80 11 FD 76'), a1, benchEight, { seed: 3 })
  expect(nearestPassing(hex('3E 05 06 03 80 11 FD 76'), a1, benchEight, { seed: 3 })).toEqual(once)
})

describe('a hint narrows and gives nothing away', () => {
  const handIn = makeImage([{ start: 0x4000, bytes: new Array<number>(27).fill(0) }])
  const repair = (part: Partial<Repair>): Repair => ({
    ...{ kind: 'replace', at: 0x4012, line: null, found: [1], wouldBe: [2], image: handIn },
    ...{ instruction: { found: null, wouldBe: null }, tier: null },
    ...part,
  })
  test.each<[Partial<Repair>, string]>([
    [{}, 'One byte between 4010h and 4017h is not what it should be.'],
    [{ at: 0x4018 }, 'One byte between 4018h and 401Ah is not what it should be.'],
    [{ kind: 'insert', at: 0x401b }, 'One byte is missing between 4018h and 401Ah.'],
    [{ kind: 'inserted' }, 'One instruction is missing between 4010h and 4017h.'],
    [{ kind: 'remove' }, 'There is one byte too many between 4010h and 4017h.'],
    [{ kind: 'swap', at: 0x4007 }, 'Two neighbouring bytes between 4000h and 400Fh are the wrong way round.'],
    [{ kind: 'condition' }, 'One instruction between 4010h and 4017h is not what it should be.'],
  ])('%o', (part, wanted) => expect(hintOf(repair(part), handIn)).toBe(wanted))

  test('holds neither the byte found nor the byte wanted, nor the very address', () => {
    for (let at = 0x4001; at < 0x4007; at++) {
      const hint = hintOf(repair({ at, found: [0xab], wouldBe: [0xcd] }), handIn)
      expect(hint).not.toMatch(/AB|CD/i)
      expect(hint).not.toContain(at.toString(16).toUpperCase())
    }
  })
})
