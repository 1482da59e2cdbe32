import { describe, expect, test } from 'vitest'
import type { Statement } from '../../../core/cpu/effect.ts'
import { familiesOf, type Family } from '../../../core/cpu/generate/families.ts'
import { isIgnoredPrefix } from '../../../core/cpu/generate/pages.ts'
import { shapeOf } from '../../../core/cpu/generate/shape.ts'
import { definitions, type Definition } from '../../../core/cpu/instruction-set.ts'

const families = familiesOf(
  definitions.filter((each) => !isIgnoredPrefix(each)),
  3,
)
const names = ({ members }: Family) => [...members.keys()].map(({ text }) => text)
const familyWith = (text: string) => families.find((family) => names(family).includes(text))

/** The common part with one member's fillings back in their places. */
function filledIn({ shape, slots, members }: Family, definition: Definition): unknown {
  const fillings = new Map(slots.map((slot, at) => [slot, members.get(definition)?.[at]]))
  const registers = new Map<Statement, string>()
  for (const [step, slot] of shape.places) {
    const filling = fillings.get(slot)
    if (filling?.kind === 'place') registers.set(step, filling.register)
  }
  const back = (part: unknown): unknown => {
    if (Array.isArray(part)) return part.map(back)
    if (typeof part !== 'object' || part === null) return part
    if ('kind' in part && part.kind === 'local' && 'name' in part && fillings.has(String(part.name)))
      return fillings.get(String(part.name))
    const register = registers.get(part as Statement)
    const entries = Object.entries(part).map(([key, value]) => [key, back(value)])
    return { ...Object.fromEntries(entries), ...(register === undefined ? {} : { register }) }
  }
  return back(shape.steps)
}

describe('a family of instructions', () => {
  test('has in common all but what its members put in', () => {
    expect(families.length).toBeGreaterThan(40)
    for (const family of families)
      for (const definition of family.members.keys())
        expect(filledIn(family, definition), definition.text).toEqual(shapeOf(definition).steps)
  })

  test.each([
    ['ADD A,B', 'ADD A,A', 7],
    ['BIT 0,B', 'BIT 7,A', 56],
    ['CALL NZ,nn', 'CALL M,nn', 8],
    ['RST 00H', 'RST 38H', 8],
    ['PUSH BC', 'PUSH AF', 4],
  ])('%s and %s are of one with %i', (one, other, count) => {
    expect(familyWith(one)?.members.size).toBe(count)
    expect(familyWith(other)).toBe(familyWith(one))
  })

  test.each([
    ['ADD A,B', 'ADC A,B'],
    ['RLC B', 'RL B'],
    ['BIT 0,B', 'BIT 0,(HL)'],
    ['INC B', 'INC BC'],
    ['JR Z,e', 'JP Z,nn'],
  ])('%s and %s are not of one', (one, other) => {
    expect(familyWith(one) ?? 'none').not.toBe(familyWith(other) ?? 'no other')
  })

  const line = (text: string, encoding: number, effect: string): Definition => ({
    text,
    encoding: [encoding],
    isDocumented: true,
    machineCycles: [4],
    effect,
  })
  test('is not made where a register that differs is set before it is read', () => {
    const swaps = (effect: (register: string) => string) =>
      familiesOf(
        ['B', 'C', 'D'].map((register, at) => line(`X ${register}`, at, effect(register))),
        3,
      )
    expect(swaps((register) => `let x = ${register}; D = A; A = x`)).toHaveLength(1)
    expect(swaps((register) => `D = A; A = ${register}`)).toHaveLength(0)
  })
})
