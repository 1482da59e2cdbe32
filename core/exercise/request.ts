import type { Program } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr } from '../cpu/index.ts'
import { mergeImages } from '../image/index.ts'
import type { RunRequest } from '../run/index.ts'
import { storedValue } from './boundaries.ts'
import type { Given } from './case.ts'
import { caseInstances, type CaseInstance } from './cases.ts'
import { callsDriver, type CallSite, type CallsDriver } from './calls.ts'
import { idlePresses, type TaskPress } from './idle-keys.ts'
import { symbolsOf } from './constants.ts'
import { exerciseFor } from './exercise-for.ts'
import { drawsFrom, seedFrom } from './draw.ts'
import { driverImage } from './driver.ts'
import type { Exercise } from './exercise.ts'
import { firstStart } from './first-start.ts'
import { prepareCheck } from './parse.ts'
import { tStatesOf } from './schema/index.ts'
import { startFill, startRegisters, undefinedAtStart, usualStart, type StartNumber } from './start-values.ts'

/** The parts of an exercise that decide its runs: all of it, or what a student may see of it. */
export type RunnableExercise = Pick<Exercise, 'id' | 'program' | 'given' | 'cases' | 'budget' | 'constants'>

/**
 * What to run for one case of an exercise. The same arguments give the same request, in the grader and in the
 * browser. `caseId` is the id of an instance (`caseInstances`); an unknown one is a mistake of the caller and throws.
 * `seed` decides constants, drawn values, unused RAM and registers that nothing sets; a student's
 * view has its constants in place already. `start` says which of the values drawn for what nothing sets: unless given,
 * those that a whole exercise is graded with first (`firstStart`). A student's view does not know them: its report does.
 */
export function runRequestFor(
  runnable: RunnableExercise | Exercise,
  profile: BoardProfile,
  program: Program,
  caseId: string,
  seed = 0,
  start?: StartNumber,
): RunRequest {
  if (!isWhole(runnable)) return requestOf(runnable, profile, program, caseId, seed, start ?? usualStart)
  const exercise = exerciseFor(runnable, seed)
  const number = start ?? firstStart(exercise, profile, caseId, seed, requestOf)
  return requestOf(exercise, profile, program, caseId, seed, number)
}

function isWhole(exercise: RunnableExercise | Exercise): exercise is Exercise {
  return 'checks' in exercise
}

function requestOf(
  exercise: RunnableExercise | Exercise,
  profile: BoardProfile,
  program: Program,
  caseId: string,
  seed: number,
  start: StartNumber,
): RunRequest {
  const instance = caseInstances(exercise).find((each) => each.id === caseId)
  if (instance === undefined) throw new RangeError(`the exercise ${exercise.id} has no case ${caseId}`)
  const given = mergedGiven(exercise.given, instance.of.given)
  const drawn = drawnValues(instance, seedFrom(exercise.id, caseId, seed, 'draws'))
  const registers = { ...given.registers, ...drawn.registers }
  const from = { exerciseId: exercise.id, caseId, seed }
  const entry = exercise.program.entry ?? program.entry
  const driver =
    driverOfCalls(exercise, given, profile, instance, entry, seed, start) ??
    driverImage(given, profile, { ...symbolsOf(exercise.constants), ENTRY: entry })
  const budget = tStatesOf(instance.of.budget ?? exercise.budget, profile.clockHz)
  const keys = keyPresses(given, profile)
  const request: RunRequest = {
    profile,
    image: driver === null ? program.image : mergeImages(program.image, driver.image).image,
    entry: driver === null ? entry : driver.entry,
    ends: driver === null ? exercise.program.ends : 'halt',
    given: {
      registers: startRegisters(registers, from, start),
      memory: [...given.memory, ...drawn.memory],
      keys: [...keys, ...idlePresses(exercise, given.idleKeys, keys, profile, budget).presses],
      switches: given.switches ?? 0,
      fill: startFill(given, from, start),
      isTimerOn: given.timer ?? profile.timer?.startsOn ?? false,
      undefined: undefinedAtStart(registers, given, start),
    },
    budget,
  }
  return isWatchingWrites(exercise, instance) ? { ...request, isWatchingWrites: true } : request
}

function keyPresses(given: Pick<Given, 'keys'>, { clockHz }: BoardProfile): readonly TaskPress[] {
  return given.keys.map((press) => {
    const from = tStatesOf(press.at, clockHz)
    const to = from + tStatesOf(press.for, clockHz)
    return { key: press.key, from, to, bounceTStates: press.bounce === null ? 0 : tStatesOf(press.bounce, clockHz) }
  })
}

/** For each case the idle keys for which its presses leave no room. */
export function idleKeysWithoutRoom(
  exercise: Pick<Exercise, 'given' | 'cases' | 'budget'>,
  profile: BoardProfile,
): readonly { readonly caseIndex: number; readonly keys: readonly string[] }[] {
  return exercise.cases.flatMap((each, caseIndex) => {
    const given = mergedGiven(exercise.given, each.given)
    const budget = tStatesOf(each.budget ?? exercise.budget, profile.clockHz)
    const { left } = idlePresses(exercise, given.idleKeys, keyPresses(given, profile), profile, budget)
    return left.length === 0 ? [] : [{ caseIndex, keys: left }]
  })
}

function driverOfCalls(
  exercise: RunnableExercise,
  given: Pick<Given, 'registers'>,
  profile: BoardProfile,
  instance: CaseInstance,
  entry: Addr,
  seed: number,
  start: StartNumber,
): CallsDriver | null {
  const drawn = drawnValues(instance, seedFrom(exercise.id, instance.id, seed, 'draws')).registers
  const registers = { ...given.registers, ...drawn }
  return callsDriver(instance.of, registers, profile, entry, seedFrom(exercise.id, instance.id, seed, 'calls', start))
}

/** Where the driver of a case with `calls` calls the program; null in other cases. Arguments as for `runRequestFor`. */
export function callSiteOf(
  exercise: RunnableExercise,
  profile: BoardProfile,
  program: Program,
  instance: CaseInstance,
  seed: number,
): CallSite | null {
  const given = mergedGiven(exercise.given, instance.of.given)
  const entry = exercise.program.entry ?? program.entry
  return driverOfCalls(exercise, given, profile, instance, entry, seed, usualStart)?.site ?? null
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
    idleKeys: own?.idleKeys ?? base?.idleKeys ?? null,
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
  for (const [i, each] of instance.of.draws.entries()) {
    const { register, at, length, from, to } = each
    const fixed = instance.boundary?.values[i] ?? null
    const value = (place: number): number => storedValue(each, fixed?.[place] ?? draws.between(from, to))
    if (register !== null) registers[register] = value(0)
    else if (at !== null) memory.push({ at, bytes: Array.from({ length }, (_, place) => value(place)) })
  }
  return { registers, memory }
}

function isWatchingWrites(exercise: RunnableExercise | Exercise, instance: CaseInstance): boolean {
  if (!('checks' in exercise)) return false
  return exercise.checks.some(
    (check) =>
      (check.cases === null || check.cases.includes(instance.of.id)) &&
      prepareCheck(exercise, check, instance.of.id)?.isWatchingWrites === true,
  )
}
