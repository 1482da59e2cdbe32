import type { Addr } from '../../cpu/index.ts'
import {
  drawnValue,
  nothingGiven,
  registerText,
  type CaseInstance,
  type Exercise,
  type ExerciseCase,
  type RegisterName,
} from '../../exercise/index.ts'
import { byteDigits, showWord } from '../../image/index.ts'

/** One drawn number of a case: where it goes and what it may be. */
export interface Slot {
  readonly register: RegisterName | null
  readonly at: Addr
  readonly from: number
  readonly to: number
  /** The number is kept in two decimal figures. */
  readonly isDecimal: boolean
}

/** Every number that a case draws, in its order. */
export function slotsOf({ draws }: ExerciseCase): readonly Slot[] {
  return draws.flatMap(({ register, at, length, from, to, decimal }): Slot[] => {
    const slot = { from, to: Math.max(from, to), isDecimal: decimal }
    if (register !== null) return [{ ...slot, register, at: 0 }]
    if (at === null) return []
    return Array.from({ length }, (_, i) => ({ ...slot, register: null, at: at + i }))
  })
}

/** What stands in the register or byte for a number. */
export function storedValue({ isDecimal }: Slot, value: number): number {
  return drawnValue({ decimal: isDecimal }, value)
}

/** `A = 05h`, `HL = 1234h`, `4600h: 7F 80`: registers one by one, bytes that stand together as one text. */
export function inputTexts(slots: readonly Slot[], values: readonly number[]): readonly string[] {
  const texts: string[] = []
  let next: Addr | null = null
  for (const [i, slot] of slots.entries()) {
    const stored = storedValue(slot, values[i] ?? slot.from)
    const { register, at } = slot
    if (register !== null) texts.push(registerText(register, stored))
    else if (at === next) texts[texts.length - 1] += ` ${byteDigits(stored)}`
    else texts.push(`${showWord(at)}: ${byteDigits(stored)}`)
    next = register === null ? at + 1 : null
  }
  return texts
}

/** How many different lists of numbers a case may draw; Infinity where there are too many to count. */
export function domainSize(slots: readonly Slot[]): number {
  return slots.reduce((product, { from, to }) => product * (to - from + 1), 1)
}

/**
 * Every list of numbers, those with the smallest sum above their lowest values first. Only for small domains: all of it is
 * made at once.
 */
export function allInputs(slots: readonly Slot[]): readonly (readonly number[])[] {
  const lists = slots.reduce<readonly (readonly number[])[]>(
    (before, { from, to }) =>
      before.flatMap((list) => Array.from({ length: to - from + 1 }, (_, i) => [...list, from + i])),
    [[]],
  )
  const size = (list: readonly number[]): number =>
    list.reduce((sum, value, i) => sum + value - (slots[i]?.from ?? 0), 0)
  return lists.toSorted((a, b) => size(a) - size(b))
}

/** The exercise with that one case, its numbers written down instead of drawn. */
export function exerciseWithInputs(
  exercise: Exercise,
  of: ExerciseCase,
  slots: readonly Slot[],
  values: readonly number[],
): { readonly exercise: Exercise; readonly instance: CaseInstance } {
  const own = of.given ?? nothingGiven
  const registers: Record<string, number> = { ...own.registers }
  const memory = [...own.memory]
  for (const [i, slot] of slots.entries()) {
    const value = storedValue(slot, values[i] ?? slot.from)
    if (slot.register !== null) registers[slot.register] = value
    else memory.push({ at: slot.at, bytes: [value & 0xff] })
  }
  const fixed: ExerciseCase = { ...of, given: { ...own, registers, memory }, draws: [], times: 1, boundaries: false }
  const instance = { id: of.id, title: of.title ?? of.id, isVisible: of.visible, of: fixed, boundary: null }
  return { exercise: { ...exercise, cases: [fixed] }, instance }
}
