import type { Program } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr } from '../cpu/index.ts'
import { mergeImages } from '../image/index.ts'
import type { KeyPress, RunRequest } from '../run/index.ts'
import type { Given } from './case.ts'
import { caseInstances, type CaseInstance } from './cases.ts'
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
  const driver = driverImage(given, profile, { ...symbolsOf(exercise.constants), ENTRY: entry })
  const request: RunRequest = {
    profile,
    image: driver === null ? program.image : mergeImages(program.image, driver.image).image,
    entry: driver === null ? entry : driver.entry,
    ends: driver === null ? exercise.program.ends : 'halt',
    given: {
      registers: startRegisters(registers, from, start),
      memory: [...given.memory, ...drawn.memory],
      keys: given.keys.map((press): KeyPress => {
        const from = tStatesOf(press.at, profile.clockHz)
        const to = from + tStatesOf(press.for, profile.clockHz)
        const bounce = press.bounce === null ? 0 : tStatesOf(press.bounce, profile.clockHz)
        return { key: press.key, from, to, bounceTStates: bounce }
      }),
      switches: given.switches ?? 0,
      fill: startFill(given, from, start),
      isTimerOn: given.timer ?? profile.timer?.startsOn ?? false,
      undefined: undefinedAtStart(registers, given, start),
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

function isWatchingWrites(exercise: RunnableExercise | Exercise, instance: CaseInstance): boolean {
  if (!('checks' in exercise)) return false
  return exercise.checks.some(
    (check) =>
      (check.cases === null || check.cases.includes(instance.of.id)) &&
      prepareCheck(exercise, check, instance.of.id)?.isWatchingWrites === true,
  )
}
