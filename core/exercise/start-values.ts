import { registerParts, type Registers, type TState } from '../cpu/index.ts'
import type { Fill, UndefinedAtStart } from '../run/index.ts'
import type { Given } from './case.ts'
import { partsOfRegister, placeOfRegister, registersOf } from './checks/registers.ts'
import { drawsFrom, seedFrom } from './draw.ts'

/**
 * The number of one set of values for all that nothing sets at the start of a run. An odd number has the complement, bit by
 * bit, of the even one before it: 0 is all zeros, 1 all ones, 2 the first values drawn for the case, 4 the second, and so
 * on. Below 0 every byte holds the same, 1 to 255, or from -65536 down every pair and every two bytes the word behind that.
 */
export type StartNumber = number

/** The first values drawn for the case. */
export const usualStart: StartNumber = 2

/** T-states from which a run takes long: it is tried on fewer other starts. */
const longRun = 1_000_000
const fewStarts = 5
/** From here on, below 0, every pair and every two bytes of RAM hold one word. */
const words = 0x1_0000

/**
 * Other starts on which a check that passed must pass too, where what it looked at may have been chance: the complement,
 * all zeros and all ones, and further draws, since two bits that are complemented are as equal as they were. What hangs on
 * one bit, or on whether two are equal, is found out but for one time in 64; one in 16 where a run takes long. With another
 * `turn` they come in another order but for the first.
 */
export function otherStarts(first: StartNumber, tStates: TState, turn = 0): readonly StartNumber[] {
  const all = [first + 2, first + 4, 0, first + 6, first + 8, 1, first + 10, first + 12]
  const some = tStates > longRun ? all.slice(0, fewStarts - 1) : all
  const by = turn % some.length
  const others = [first ^ 1, ...some.slice(by), ...some.slice(0, by)]
  return [...new Set(others)].filter((start) => start !== first)
}

/** How many starts of one value everywhere (`startOfSame`) are tried beside those. */
export function sameStarts(tStates: TState): number {
  return tStates > longRun ? 2 : 6
}

/** The start at which every byte, or every word, holds the same. */
export function startOfSame(value: number, isWord = false): StartNumber {
  if (isWord) return -(words + (value & 0xffff))
  const byte = value & 0xff
  return byte === 0 ? 0 : byte === 0xff ? 1 : -byte
}

/** The word that all hold at a start below 0. */
function sameWord(start: StartNumber): number {
  return start <= -words ? -start - words : -start * 0x101
}

/** What the values are drawn from, beside their number. */
export interface StartSeed {
  readonly exerciseId: string
  readonly caseId: string
}

/** Pairs that hold anything at power-on; a program that counts on a zero there is found out. */
const undefinedPairs = ['af', 'bc', 'de', 'hl', 'af_', 'bc_', 'de_', 'hl_', 'ix', 'iy'] as const

/** Registers at the start: those given, and the others as `start` has them. SP, I, IM and interrupts are never drawn. */
export function startRegisters(
  given: Readonly<Record<string, number>>,
  from: StartSeed,
  start: StartNumber,
): Partial<Registers> {
  const draws = drawsFrom(seedOf(from, 'registers', start))
  const mask = start > 0 && start % 2 === 1 ? 0xffff : 0
  const registers: Record<string, number> = {}
  const same = start < 0 ? sameWord(start) : 0
  for (const pair of undefinedPairs) registers[pair] = start < 2 ? same ^ mask : draws.between(0, 0xffff) ^ mask
  // What R holds depends on how long the firmware has been at work; 0 at first, as after a reset.
  if (start !== usualStart) registers['r'] = ((start < 2 ? same & 0xff : draws.between(0, 0x7f)) ^ mask) & 0x7f
  for (const name of registersOf(given)) {
    const { pair, half } = placeOfRegister(name)
    const value = given[name] ?? 0
    const before = registers[pair] ?? 0
    registers[pair] =
      half === 'whole'
        ? value
        : half === 'high'
          ? (before & 0xff) | ((value & 0xff) << 8)
          : (before & 0xff00) | (value & 0xff)
  }
  return registers
}

/** What RAM holds at the start. */
export function startFill(given: Pick<Given, 'fill'>, from: StartSeed, start: StartNumber): Fill {
  if (typeof given.fill === 'number') return { byte: given.fill }
  if (start <= -words) return { word: sameWord(start) }
  if (start < 2) return { byte: start < 0 ? -start : start === 1 ? 0xff : 0 }
  const fill = { seed: seedOf(from, 'fill', start) }
  return start % 2 === 1 ? { ...fill, isInverted: true } : fill
}

function seedOf({ exerciseId, caseId }: StartSeed, what: string, start: StartNumber): number {
  const round = start >> 1
  return seedFrom(exerciseId, caseId, what, ...(round > 1 ? [round] : []))
}

/** What of the start is chance: no register that is given, and no RAM where the exercise says what it holds. */
export function undefinedAtStart(
  given: Readonly<Record<string, number>>,
  { fill }: Pick<Given, 'fill'>,
  start: StartNumber,
): UndefinedAtStart {
  const defined = new Set(['SP', 'IFF', 'I', ...registersOf(given).flatMap(partsOfRegister)])
  const registers = registerParts.filter((part) => !defined.has(part))
  return { registers, isMemory: typeof fill !== 'number', start }
}
