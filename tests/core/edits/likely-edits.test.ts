import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { likelyEdits, type LikelyEdit } from '../../../core/edits/index.ts'

const options = { origin: 0x4000, symbols: { PAINT: 0x40 } }
const answer = assemble(
  ' LD HL,4600h\n LD B,8\nLOOP: ADD A,(HL)\n INC HL\n DJNZ LOOP\n LD (4700h),A\n CALL PAINT\n HALT\n',
  options,
)

function editsOf(text: string, other: typeof answer | null = answer): readonly LikelyEdit[] {
  return [...likelyEdits(assemble(text, options), options, other)]
}

function tierOf(edits: readonly LikelyEdit[], found: string | null, wouldBe: string | null): number | undefined {
  return edits.find((edit) => edit.found === found && edit.wouldBe === wouldBe)?.tier
}

describe('likely edits of a text', () => {
  const edits = editsOf('LD HL,4600h\n LD B,10\nLOOP: ADD A,(HL)\n INC HL\n JR NZ,LOOP\n LD (4700h),A\n')

  test('come tier by tier, and each gives an image', () => {
    const tiers = edits.map(({ tier }) => tier)
    expect(tiers).toEqual(tiers.toSorted((a, b) => a - b))
    expect(new Set(tiers)).toEqual(new Set([0, 1, 2, 3, 4, 5]))
    expect(edits.every(({ image }) => image.segments.length > 0)).toBe(true)
  })
  test('begin with the condition, one more or less, and the end', () => {
    expect(tierOf(edits, 'JR NZ,LOOP', 'JR Z,LOOP')).toBe(0)
    expect(tierOf(edits, 'LD B,10', 'LD B,10-1')).toBe(0)
    expect(tierOf(edits, null, 'HALT')).toBe(0)
  })
  test('read a number in the other base, and double it', () => {
    expect(tierOf(edits, 'LD B,10', 'LD B,10h')).toBe(1)
    expect(tierOf(edits, 'LD B,10', 'LD B,10*2')).toBe(1)
  })
  test('take from the answer what the program lacks, in place of a like instruction or put in', () => {
    expect(tierOf(edits, 'LD B,10', 'LD B,8')).toBe(1)
    expect(tierOf(edits, null, 'CALL PAINT')).toBe(2)
    // What it has already is nothing that it lacks.
    expect(tierOf(edits, null, 'INC HL')).toBe(5)
  })
  test('exchange neighbours, registers and sister operations', () => {
    expect(tierOf(edits, 'LD B,10', 'LD C,10')).toBe(2)
    expect(tierOf(edits, 'ADD A,(HL)', 'ADC A,(HL)')).toBe(2)
    expect(tierOf(edits, 'LD HL,4600h / LD B,10', 'LD B,10 / LD HL,4600h')).toBe(1)
  })
  test('leave an instruction out, and put in what is often forgotten', () => {
    expect(tierOf(edits, 'INC HL', null)).toBe(3)
    expect(tierOf(edits, null, 'XOR A')).toBe(4)
  })
})

test('without an answer nothing is taken from one', () => {
  const edits = editsOf('LD HL,4600h\n LD B,10\n HALT\n', null)
  expect(tierOf(edits, null, 'CALL PAINT')).toBeUndefined()
  expect(tierOf(edits, 'LD B,10', 'LD B,8')).toBeUndefined()
})

test('names that only the answer knows are left to it', () => {
  const named = assemble('SIZE: EQU 8\n LD B,SIZE\nLOOP: DJNZ LOOP\n HALT\n', options)
  const edits = editsOf('LD C,1\n HALT\n', named)
  expect(edits.some(({ wouldBe }) => wouldBe?.includes('SIZE') === true)).toBe(false)
})
