import { registerParts, type Registers } from '../cpu/index.ts'
import type { Fill, UndefinedAtStart } from '../run/index.ts'
import type { Given } from './case.ts'
import { partsOfRegister, placeOfRegister, registersOf } from './checks/registers.ts'
import { drawsFrom, seedFrom } from './draw.ts'

/**
 * The number of one set of values for all that nothing sets at the start of a run. An odd number has the complement, bit by
 * bit, of the even one before it: 0 is all zeros, 1 all ones, 2 the first values drawn from the seed, 4 the second, and so
 * on.
 */
export type StartNumber = number

/** The first values drawn from the seed. */
export const usualStart: StartNumber = 2

/** Of an exercise with more runs than this each is tried on three other starts, the pairs of them in turn. */
const fewRuns = 3

/**
 * Other starts on which a check that passed must pass too, where what it looked at may have been chance: the complement,
 * and two more, or four where there are few runs. `run` is the place of the run among all `runs`, from 0.
 */
export function otherStarts(first: StartNumber, run: number, runs: number): readonly StartNumber[] {
  const pairs = [
    [0, 1],
    [first + 2, first + 3],
  ]
  const others = [first ^ 1, ...(runs > fewRuns ? (pairs[run % 2] ?? []) : pairs.flat())]
  return [...new Set(others)].filter((start) => start !== first)
}

/** What the values are drawn from, beside their number. */
export interface StartSeed {
  readonly exerciseId: string
  readonly caseId: string
  readonly seed: number
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
  const mask = start % 2 === 1 ? 0xffff : 0
  const registers: Record<string, number> = {}
  for (const pair of undefinedPairs) registers[pair] = (start < 2 ? 0 : draws.between(0, 0xffff)) ^ mask
  // What R holds depends on how long the firmware has been at work; 0 at first, as after a reset.
  if (start !== usualStart) registers['r'] = (start < 2 ? 0 : draws.between(0, 0x7f)) ^ (mask & 0x7f)
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
  if (start < 2) return { byte: start === 1 ? 0xff : 0 }
  const fill = { seed: seedOf(from, 'fill', start) }
  return start % 2 === 1 ? { ...fill, isInverted: true } : fill
}

function seedOf({ exerciseId, caseId, seed }: StartSeed, what: string, start: StartNumber): number {
  const round = start >> 1
  return seedFrom(exerciseId, caseId, seed, what, ...(round > 1 ? [round] : []))
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
