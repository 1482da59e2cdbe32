import { readProgram, type Program, type ReadOptions } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr, Registers } from '../cpu/index.ts'
import { mergeImages, type Image } from '../image/index.ts'
import type { KeyPress, RunRequest } from '../run/index.ts'
import type { Given } from './case.ts'
import { caseInstances, type CaseInstance } from './cases.ts'
import { symbolsOf } from './constants.ts'
import { exerciseFor } from './exercise-for.ts'
import { placeOfRegister, registersOf } from './checks/registers.ts'
import { drawsFrom, seedFrom } from './draw.ts'
import type { Exercise } from './exercise.ts'
import { prepareCheck } from './parse.ts'
import { tStatesOf } from './schema/index.ts'

/** The parts of an exercise that decide its runs: all of it, or what a student may see of it. */
export type RunnableExercise = Pick<Exercise, 'id' | 'program' | 'given' | 'cases' | 'budget' | 'constants'>

/** Where a hand-in is placed, which names it may use, and how long it may be. */
export function readOptionsFor(exercise: Pick<Exercise, 'program'>, profile: BoardProfile): ReadOptions {
  const { origin, ranges, maxBytes, constants } = exercise.program
  const routines = profile.firmware.routines.map(({ name, address }) => [name, address] as const)
  return {
    origin: origin ?? profile.layout.program,
    symbols: { ...Object.fromEntries(routines), ...constants },
    allowed: ranges ?? profile.memory.filter(({ kind }) => kind === 'ram').map(({ from, to }) => ({ from, to })),
    maxBytes,
  }
}

/** The same for the model answer and other answers of staff: they may name the exercise's constants too. */
export function staffReadOptionsFor(
  exercise: Pick<Exercise, 'program' | 'constants'>,
  profile: BoardProfile,
): ReadOptions {
  const options = readOptionsFor(exercise, profile)
  return { ...options, symbols: { ...options.symbols, ...symbolsOf(exercise.constants) } }
}

/**
 * What to run for one case of an exercise. The same five arguments give the same request, in the grader and in the
 * browser. `caseId` is the id of an instance (`caseInstances`); an unknown one is a mistake of the caller and throws.
 * `seed` decides constants, drawn values, unused RAM and registers that nothing sets; a student's
 * view has its constants in place already.
 */
export function runRequestFor(
  runnable: RunnableExercise | Exercise,
  profile: BoardProfile,
  program: Program,
  caseId: string,
  seed = 0,
): RunRequest {
  const exercise = 'checks' in runnable ? exerciseFor(runnable, seed) : runnable
  const instance = caseInstances(exercise).find((each) => each.id === caseId)
  if (instance === undefined) throw new RangeError(`the exercise ${exercise.id} has no case ${caseId}`)
  const given = mergedGiven(exercise.given, instance.of.given)
  const drawn = drawnValues(instance, seedFrom(exercise.id, caseId, seed, 'draws'))
  const entry = exercise.program.entry ?? program.entry
  const driver = driverImage(given, profile, { ...symbolsOf(exercise.constants), ENTRY: entry })
  const request: RunRequest = {
    profile,
    image: driver === null ? program.image : mergeImages(program.image, driver.image).image,
    entry: driver === null ? entry : driver.entry,
    ends: driver === null ? exercise.program.ends : 'halt',
    given: {
      registers: startRegisters(
        { ...given.registers, ...drawn.registers },
        seedFrom(exercise.id, caseId, seed, 'registers'),
      ),
      memory: [...given.memory, ...drawn.memory],
      keys: given.keys.map((press): KeyPress => {
        const from = tStatesOf(press.at, profile.clockHz)
        const to = from + tStatesOf(press.for, profile.clockHz)
        const bounce = press.bounce === null ? 0 : tStatesOf(press.bounce, profile.clockHz)
        return { key: press.key, from, to, bounceTStates: bounce }
      }),
      switches: given.switches ?? 0,
      fill:
        typeof given.fill === 'number' ? { byte: given.fill } : { seed: seedFrom(exercise.id, caseId, seed, 'fill') },
      isTimerOn: given.timer ?? profile.timer?.startsOn ?? false,
    },
    budget: tStatesOf(instance.of.budget ?? exercise.budget, profile.clockHz),
  }
  return isWatchingWrites(exercise, instance) ? { ...request, isWatchingWrites: true } : request
}

/** The case's own values over those of the exercise: registers by name, memory in turn, all else as a whole. */
function mergedGiven(
  base: Given | null,
  own: Given | null,
): Omit<Given, 'memory' | 'keys' | 'registers'> & Pick<Given, 'memory' | 'keys' | 'registers'> {
  return {
    registers: { ...base?.registers, ...own?.registers },
    memory: [...(base?.memory ?? []), ...(own?.memory ?? [])],
    keys: own !== null && own.keys.length > 0 ? own.keys : (base?.keys ?? []),
    switches: own?.switches ?? base?.switches ?? null,
    fill: own?.fill ?? base?.fill ?? null,
    timer: own?.timer ?? base?.timer ?? null,
    driver: own?.driver ?? base?.driver ?? null,
  }
}

function drawnValues(
  instance: CaseInstance,
  seed: number,
): {
  readonly registers: Readonly<Record<string, number>>
  readonly memory: readonly { readonly at: Addr; readonly bytes: readonly number[] }[]
} {
  const draws = drawsFrom(seed)
  const registers: Record<string, number> = {}
  const memory: { at: Addr; bytes: number[] }[] = []
  for (const { register, at, length, from, to, decimal } of instance.of.draws) {
    const draw = (): number => {
      const value = draws.between(from, to)
      return decimal ? Math.floor(value / 10) * 16 + (value % 10) : value
    }
    if (register !== null) registers[register] = draw()
    else if (at !== null) memory.push({ at, bytes: Array.from({ length }, draw) })
  }
  return { registers, memory }
}

/** Pairs that hold anything at power-on; a program that counts on a zero there is found out. */
const undefinedPairs = ['af', 'bc', 'de', 'hl', 'af_', 'bc_', 'de_', 'hl_', 'ix', 'iy'] as const

function startRegisters(given: Readonly<Record<string, number>>, seed: number): Partial<Registers> {
  const draws = drawsFrom(seed)
  const registers: Record<string, number> = {}
  for (const pair of undefinedPairs) registers[pair] = draws.between(0, 0xffff)
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

/** The instructor's program that calls the student's; a mistake in it is a mistake of the exercise and throws. */
function driverImage(
  given: Pick<Given, 'driver'>,
  profile: BoardProfile,
  constants: Readonly<Record<string, number>>,
): { readonly image: Image; readonly entry: Addr } | null {
  if (given.driver === null) return null
  const { symbols } = readOptionsFor({ program: { ...noProgram, constants } }, profile)
  const options = { origin: given.driver.origin, ...(symbols === undefined ? {} : { symbols }) }
  const driver = readProgram({ format: 'assembly', text: given.driver.assembly }, options)
  if (!driver.isOk) throw new Error(`the driver does not assemble: ${driver.problems[0]?.message ?? ''}`)
  return { image: driver.image, entry: given.driver.origin }
}

const noProgram: Exercise['program'] = {
  origin: null,
  entry: null,
  ends: 'halt',
  maxBytes: 4096,
  ranges: null,
  constants: {},
}

function isWatchingWrites(exercise: RunnableExercise | Exercise, instance: CaseInstance): boolean {
  if (!('checks' in exercise)) return false
  return exercise.checks.some(
    (check) =>
      (check.cases === null || check.cases.includes(instance.of.id)) &&
      prepareCheck(exercise, check, instance.of.id)?.isWatchingWrites === true,
  )
}
