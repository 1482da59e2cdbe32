import type { BoardProfile } from '../board/index.ts'
import type { Addr } from '../cpu/index.ts'
import type { ReservedRange } from '../image/index.ts'
import { placeOfCalls, type CallsPlace } from './calls.ts'
import type { ExerciseCase, Given } from './case.ts'
import { symbolsOf } from './constants.ts'
import { driverImage } from './driver.ts'
import type { Exercise } from './exercise.ts'

/** The parts of an exercise that decide where a hand-in may stand; a student's view is enough. */
export type PlacedExercise = Pick<Exercise, 'program'> & Partial<Pick<Exercise, 'given' | 'cases' | 'constants'>>

/** Bytes below the start of the stack that a program may not be loaded into: its calls would write over it. */
const stackBytes = 64

/** Where bytes may stand: as the exercise says, else in the board's program area. Both ends included. */
export function allowedFor(
  { program }: PlacedExercise,
  { layout }: BoardProfile,
): readonly { readonly from: Addr; readonly to: Addr }[] {
  return program.ranges ?? [{ from: layout.program, to: layout.programEnd }]
}

/**
 * Where no byte of a hand-in may stand though the ranges take it in: what the board keeps for itself, and what the
 * exercise puts into memory: bytes given in the cases that students see, and the programs that call theirs, of all cases.
 */
export function reservedFor(exercise: PlacedExercise, profile: BoardProfile): readonly ReservedRange[] {
  const { digitBuffer, interruptHook } = profile.layout
  const given = [exercise.given ?? null, ...(exercise.cases ?? []).filter(isVisible).map((each) => each.given)]
  const drivers = [exercise.given ?? null, ...(exercise.cases ?? []).map((each) => each.given)]
  return [
    { from: digitBuffer, to: digitBuffer + profile.display.digits - 1, holds: 'the digit buffer' },
    ...(interruptHook === null
      ? []
      : [{ from: interruptHook, to: interruptHook + 1, holds: 'the hook of the interrupt' }]),
    ...given.flatMap((each) => (each === null ? [] : ofMemory(each))),
    ...drivers.flatMap((each) => (each === null ? [] : ofDriver(each, exercise, profile))),
    ...(exercise.cases ?? []).flatMap((each) => ofCalls(each, profile)),
    ...stacksOf(given, profile),
  ]
}

const isVisible = ({ visible }: Exercise['cases'][number]): boolean => visible

function ofMemory({ memory }: Given): readonly ReservedRange[] {
  return memory.map(({ at, bytes }) => ({ from: at, to: at + bytes.length - 1, holds: 'what the exercise puts there' }))
}

function ofDriver(given: Given, exercise: PlacedExercise, profile: BoardProfile): readonly ReservedRange[] {
  const constants = { ...symbolsOf(exercise.constants ?? []), ENTRY: profile.layout.program }
  const segments = driverImage(given, profile, constants)?.image.segments ?? []
  return segments.map(({ start, bytes }) => ({
    from: start,
    to: start + bytes.length - 1,
    holds: caller,
  }))
}

function ofCalls(of: ExerciseCase, profile: BoardProfile): readonly ReservedRange[] {
  return of.calls.length === 0 ? [] : [{ ...placeOfCalls(of, profile), holds: caller }]
}

const caller = 'the program that calls yours'

/**
 * Where bytes may stand, without the places of the programs that call a hand-in in hidden cases: what a student is told, who
 * knows of no hidden case. Null where there are none.
 */
export function rangesWithoutHiddenDrivers(
  exercise: Pick<Exercise, 'program' | 'cases' | 'constants'>,
  profile: BoardProfile,
): Exercise['program']['ranges'] {
  const taken = exercise.cases
    .filter((each) => !isVisible(each))
    .flatMap((each) => [
      ...(each.given === null ? [] : ofDriver(each.given, exercise, profile)),
      ...ofCalls(each, profile),
    ])
  if (taken.length === 0) return null
  return taken.reduce<readonly CallsPlace[]>(
    (ranges, { from, to }) =>
      ranges
        .flatMap((each) => [
          { from: each.from, to: Math.min(each.to, from - 1) },
          { from: Math.max(each.from, to + 1), to: each.to },
        ])
        .filter((each) => each.from <= each.to)
        .filter((each, i, all) => all.findIndex((other) => other.from === each.from && other.to === each.to) === i),
    allowedFor(exercise, profile),
  )
}

function stacksOf(given: readonly (Given | null)[], { layout }: BoardProfile): readonly ReservedRange[] {
  const registers = given.map((each): Readonly<Record<string, number>> => each?.registers ?? {})
  const tops = new Set([layout.stackTop, ...registers.flatMap((each) => each['sp'] ?? [])])
  return [...tops].map((top) => ({ from: Math.max(0, top - stackBytes), to: top - 1, holds: 'the stack' }))
}
