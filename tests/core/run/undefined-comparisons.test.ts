import { describe, expect, test } from 'vitest'
import { bitsOfParts, flowPlanAt } from '../../../core/run/flow-plan.ts'
import { Comparisons, type StateBefore } from '../../../core/run/undefined-comparisons.ts'

const registers = { af: 0x4200, bc: 0x1234, de: 0, hl: 0x4600, ix: 0, iy: 0 } as unknown as StateBefore['registers']

/** What is noted of an instruction where these registers are undefined, and perhaps the byte at 4600h, which holds 99h. */
function noted(bytes: readonly number[], parts: readonly string[], isReadUndefined = false, reads = false) {
  const memory = new Uint8Array(0x10000)
  memory.set(bytes, 0x4000)
  const plan = flowPlanAt(memory, 0x4000)
  if (plan === null) throw new Error('the instruction cannot be followed')
  const comparisons = new Comparisons()
  const state = { registers, bytes, read: () => 0x99 } as unknown as StateBefore
  comparisons.note(plan, state, bitsOfParts(...parts), reads ? 0x4600 : null, isReadUndefined)
  return comparisons.lastFirst()
}

describe('what a value that nothing set is compared with', () => {
  test('CP n: the value of A, and the byte behind it', () => {
    expect(noted([0xfe, 0x17], ['A'])).toEqual([{ value: 0x42, with: 0x17, isWord: false }])
  })

  test('CP B: whichever of the two nothing set', () => {
    expect(noted([0xb8], ['A'])).toEqual([{ value: 0x42, with: 0x12, isWord: false }])
    expect(noted([0xb8], ['B'])).toEqual([{ value: 0x12, with: 0x42, isWord: false }])
  })

  test('CP (HL): a byte of memory that nothing set, with A', () => {
    expect(noted([0xbe], [], true, true)).toEqual([{ value: 0x99, with: 0x42, isWord: false }])
  })

  test('two values that nothing set, and two that were set, say nothing', () => {
    expect(noted([0xb8], ['A', 'B'])).toEqual([])
    expect(noted([0xb8], [])).toEqual([])
  })

  test('LD A,n compares nothing', () => {
    expect(noted([0x3e, 0x17], ['A'])).toEqual([])
  })
})
