import type { Program } from '../assembler/index.ts'
import { digitTimeline, type BoardProfile } from '../board/index.ts'
import { modelProgram, runRequestFor, type CaseInstance, type CaseRun, type Exercise } from '../exercise/index.ts'
import { memoryAtStart, record, registersAtStart, run, type Recording, type RunResult } from '../run/index.ts'

/** Runs a program on one case. What only some checks ask for is made when asked, once. */
export function gradedRun(
  exercise: Exercise,
  profile: BoardProfile,
  program: Program,
  instance: CaseInstance,
  seed: number,
): CaseRun {
  const request = runRequestFor(exercise, profile, program, instance.id, seed)
  const result = run(request)
  const digits = once(() => digitTimeline(result.events, profile, 0, result.tStates))
  const recording = once((): Recording => record(request))
  const initial = once(() => ({ memory: memoryAtStart(request), registers: registersAtStart(request) }))
  const model = once((): RunResult | null => {
    const answer = modelProgram(exercise, profile)
    return answer === null ? null : run(runRequestFor(exercise, profile, answer, instance.id, seed))
  })
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
    runUntil: (breakpoints) => run({ ...request, breakpoints, isWatchingWrites: false }),
  }
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null
  return () => {
    made ??= { value: make() }
    return made.value
  }
}
