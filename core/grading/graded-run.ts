import type { Program } from '../assembler/index.ts'
import { digitTimeline, type BoardProfile } from '../board/index.ts'
import {
  callSiteOf,
  modelProgram,
  modelRun,
  movedRequest,
  runRequestFor,
  usualStart,
  type CaseInstance,
  type CaseRun,
  type Exercise,
  type StartNumber,
} from '../exercise/index.ts'
import {
  memoryAtStart,
  record,
  registersAtStart,
  run,
  type Recording,
  type RunRequest,
  type RunResult,
} from '../run/index.ts'

/** What a run is made of, beside its request. */
export interface CaseSetting {
  readonly exercise: Exercise
  readonly profile: BoardProfile
  readonly program: Program
  readonly instance: CaseInstance
  readonly seed: number
}

/**
 * Runs a program on one case, with the start that the case is graded with first. What only some checks ask for is made when
 * asked, once.
 */
export function gradedRun(setting: CaseSetting, isFollowingUndefined: boolean): CaseRun {
  const { exercise, profile, program, instance, seed } = setting
  return caseRun(setting, runRequestFor(exercise, profile, program, instance.id, seed), isFollowingUndefined)
}

/** The run of a request, which is one of a case or nearly so. */
export function caseRun(
  { exercise, profile, program, instance, seed }: CaseSetting,
  request: RunRequest,
  isFollowingUndefined = false,
): CaseRun {
  const result = run(request, { isFollowingUndefined })
  const moved = new Map<number, RunResult>()
  const digits = once(() => digitTimeline(result.events, profile, 0, result.tStates))
  const recording = once((): Recording => record(request))
  const initial = once(() => ({ memory: memoryAtStart(request), registers: registersAtStart(request) }))
  const model = (): RunResult | null => modelRun(exercise, profile, instance.id, seed, startOf(request))
  return {
    caseId: instance.id,
    isVisible: instance.isVisible,
    profile,
    program,
    request,
    result,
    initial,
    digits,
    recording,
    model,
    modelRecording: once(() => {
      const answer = modelProgram(exercise, profile)
      return answer === null
        ? null
        : record(runRequestFor(exercise, profile, answer, instance.id, seed, startOf(request)))
    }),
    callSite: callSiteOf(exercise, profile, program, instance),
    moved: (by) => {
      const before = moved.get(by)
      if (before !== undefined) return before
      const started = movedRequest(exercise, profile, program, instance.id, by, startOf(request))
      const made = run(started, { isFollowingUndefined })
      moved.set(by, made)
      return made
    },
    runUntil: (breakpoints) => run({ ...request, breakpoints, isWatchingWrites: false }),
  }
}

/** Which start of its case a request is of. */
export function startOf({ given }: RunRequest): StartNumber {
  return given.undefined?.start ?? usualStart
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null
  return () => {
    made ??= { value: make() }
    return made.value
  }
}
