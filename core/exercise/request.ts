import type { Program } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr, TState } from '../cpu/index.ts'
import { mergeImages } from '../image/index.ts'
import type { RunRequest } from '../run/index.ts'
import { nothingGiven, type Given } from './case.ts'
import { caseInstances, type CaseInstance } from './cases.ts'
import { callsDriver, type CallSite, type CallsDriver } from './calls.ts'
import { drawnValues, type DrawnValues } from './drawn-values.ts'
import {
  idleKeysOf,
  idleSwitchesOf,
  placeAmongLike,
  withIdleInputs,
  type AllInputs,
  type TaskInputs,
} from './idle-inputs.ts'
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
export type RunnableExercise = Pick<Exercise, 'id' | 'program' | 'given' | 'cases' | 'budget' | 'events' | 'constants'>

/**
 * What to run for one case of an exercise. The same arguments give the same request, in the grader and in the
 * browser. `caseId` is the id of an instance (`caseInstances`); an unknown one is a mistake of the caller and throws.
 * `seed` is the student's and decides the constants alone; a student's view has them in place already. What a case draws,
 * and what stands in all that nothing sets, is the same for everybody, so that one program has one mark. `start` says which
 * of the values for what nothing sets: unless given, those that a whole exercise is graded with first (`firstStart`). A
 * student's view does not know them: its report does.
 */
export function runRequestFor(
  runnable: RunnableExercise | Exercise,
  profile: BoardProfile,
  program: Program,
  caseId: string,
  seed = 0,
  start?: StartNumber,
): RunRequest {
  if (!isWhole(runnable)) return requestOf(runnable, profile, program, caseId, start ?? usualStart)
  const exercise = exerciseFor(runnable, seed)
  const number = start ?? firstStart(exercise, profile, caseId, requestOf)
  return requestOf(exercise, profile, program, caseId, number)
}

function isWhole(exercise: RunnableExercise | Exercise): exercise is Exercise {
  return 'checks' in exercise
}

function requestOf(
  exercise: RunnableExercise | Exercise,
  profile: BoardProfile,
  program: Program,
  caseId: string,
  start: StartNumber,
): RunRequest {
  const instances = caseInstances(exercise)
  const instance = instances.find((each) => each.id === caseId)
  if (instance === undefined) throw new RangeError(`the exercise ${exercise.id} has no case ${caseId}`)
  const given = mergedGiven(exercise.given, instance.of.given)
  const drawn = drawnOf(exercise, instance)
  const registers = { ...given.registers, ...drawn.registers }
  const from = { exerciseId: exercise.id, caseId }
  const entry = exercise.program.entry ?? program.entry
  const driver =
    driverOfCalls(exercise, given, profile, instance, entry, start) ??
    driverImage(given, profile, { ...symbolsOf(exercise.constants), ENTRY: entry })
  const budget = tStatesOf(instance.of.budget ?? exercise.budget, profile.clockHz)
  const inputs = inputsOf(exercise, given, placeAmongLike(instance, instances), profile, budget)
  const request: RunRequest = {
    profile,
    image: driver === null ? program.image : mergeImages(program.image, driver.image).image,
    entry: driver === null ? entry : driver.entry,
    ends: driver === null ? exercise.program.ends : 'halt',
    given: {
      registers: startRegisters(registers, from, start),
      memory: [...given.memory, ...drawn.memory],
      keys: inputs.keys,
      switches: inputs.switches,
      ...(inputs.switchMoves.length === 0 ? {} : { switchMoves: inputs.switchMoves }),
      fill: startFill(given, from, start),
      isTimerOn: given.timer ?? profile.timer?.startsOn ?? false,
      undefined: undefinedAtStart(registers, given, start),
    },
    budget,
    eventLimit: eventsOf(exercise, instance, profile),
  }
  return isWatchingWrites(exercise, instance) ? { ...request, isWatchingWrites: true } : request
}

/** A case that has less time than others needs no more events than go with that; a keypad that is looked at has room. */
const fewestEvents = 400_000

function eventsOf(
  { events, budget }: Pick<Exercise, 'events' | 'budget'>,
  { of }: CaseInstance,
  { clockHz }: BoardProfile,
): number {
  if (of.budget === null) return events
  const share = tStatesOf(of.budget, clockHz) / tStatesOf(budget, clockHz)
  return Math.min(events, Math.max(fewestEvents, Math.ceil(events * share)))
}

/** Keys and switches of a run, idle ones too. */
function inputsOf(
  exercise: Pick<Exercise, 'given' | 'cases'>,
  given: Given,
  place: number,
  profile: BoardProfile,
  budget: TState,
): AllInputs {
  const idle = {
    keys: idleKeysOf(exercise, given.idleKeys, profile),
    switches: idleSwitchesOf(exercise, given.idleSwitches, profile),
  }
  return withIdleInputs(taskInputs(given, profile), idle, place, profile, budget)
}

function taskInputs({ keys, switches, switchMoves }: Given, { clockHz }: BoardProfile): TaskInputs {
  return {
    keys: keys.map((press) => {
      const from = tStatesOf(press.at, clockHz)
      const to = from + tStatesOf(press.for, clockHz)
      return { key: press.key, from, to, bounceTStates: press.bounce === null ? 0 : tStatesOf(press.bounce, clockHz) }
    }),
    switches: switches ?? 0,
    moves: switchMoves.map(({ at, to }) => ({ at: tStatesOf(at, clockHz), value: to })),
  }
}

/** For each case the idle keys for which its presses leave no room. */
export function idleKeysWithoutRoom(
  exercise: Pick<Exercise, 'given' | 'cases' | 'budget'>,
  profile: BoardProfile,
): readonly { readonly caseIndex: number; readonly keys: readonly string[] }[] {
  return exercise.cases.flatMap((each, caseIndex) => {
    const given = mergedGiven(exercise.given, each.given)
    const budget = tStatesOf(each.budget ?? exercise.budget, profile.clockHz)
    const { left } = inputsOf(exercise, given, 0, profile, budget)
    return left.length === 0 ? [] : [{ caseIndex, keys: left }]
  })
}

/** The values that a case draws. */
function drawnOf({ id }: Pick<Exercise, 'id'>, { of, boundary, ...instance }: CaseInstance): DrawnValues {
  return drawnValues(of.draws, drawsFrom(seedFrom(id, instance.id, 'draws')), boundary?.values)
}

function driverOfCalls(
  exercise: RunnableExercise,
  given: Pick<Given, 'registers'>,
  profile: BoardProfile,
  instance: CaseInstance,
  entry: Addr,
  start: StartNumber,
): CallsDriver | null {
  const registers = { ...given.registers, ...drawnOf(exercise, instance).registers }
  const streams = {
    // What a call draws is the same on every start; what it leaves open is not.
    draws: drawsFrom(seedFrom(exercise.id, instance.id, 'calls-draws')),
    open: drawsFrom(seedFrom(exercise.id, instance.id, 'calls', start)),
  }
  return callsDriver(instance.of, registers, profile, entry, streams)
}

/**
 * The exercise drawn anew: the same tasks with other values in what its cases draw and in what nothing sets, for each `round`
 * others. Hand-ins are never graded on it; it shows what depends on the values.
 */
export function drawnAnew(exercise: Exercise, round: number): Exercise {
  return { ...exercise, id: `${exercise.id} drawn anew ${round}` }
}

/** Where the driver of a case with `calls` calls the program; null in other cases. Arguments as for `runRequestFor`. */
export function callSiteOf(
  exercise: RunnableExercise,
  profile: BoardProfile,
  program: Program,
  instance: CaseInstance,
): CallSite | null {
  const given = mergedGiven(exercise.given, instance.of.given)
  const entry = exercise.program.entry ?? program.entry
  return driverOfCalls(exercise, given, profile, instance, entry, usualStart)?.site ?? null
}

/** The case's own values over those of the exercise: registers by name, memory in turn, all else as a whole. */
export function mergedGiven(base: Given | null, own: Given | null): Given {
  const [under, over] = [base ?? nothingGiven, own ?? nothingGiven]
  return {
    registers: { ...under.registers, ...over.registers },
    memory: [...under.memory, ...over.memory],
    keys: over.keys.length > 0 ? over.keys : under.keys,
    idleKeys: over.idleKeys ?? under.idleKeys,
    switches: over.switches ?? under.switches,
    switchMoves: over.switchMoves.length > 0 ? over.switchMoves : under.switchMoves,
    idleSwitches: over.idleSwitches ?? under.idleSwitches,
    fill: over.fill ?? under.fill,
    timer: over.timer ?? under.timer,
    driver: over.driver ?? under.driver,
  }
}

function isWatchingWrites(exercise: RunnableExercise | Exercise, instance: CaseInstance): boolean {
  if (!('checks' in exercise)) return false
  return exercise.checks.some(
    (check) =>
      (check.cases === null || check.cases.includes(instance.of.id)) &&
      prepareCheck(exercise, check, instance.of.id)?.isWatchingWrites === true,
  )
}
