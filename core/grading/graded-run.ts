import type { Program } from '../assembler/index.ts'
import { digitTimeline, type BoardProfile } from '../board/index.ts'
import {
  modelProgram,
  movedRequest,
  runRequestFor,
  type CaseInstance,
  type CaseRun,
  type Exercise,
} from '../exercise/index.ts'
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
  const model = (): RunResult | null => modelResult(exercise, profile, instance.id, seed)
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
    moved: (by) => run(movedRequest(exercise, profile, program, instance.id, seed, by)),
    runUntil: (breakpoints) => run({ ...request, breakpoints, isWatchingWrites: false }),
  }
}

/** Model answers' runs kept for the next hand-in of the same exercise: 64 KB each and more. */
const mostKept = 128
const kept = new WeakMap<Exercise, { readonly profile: BoardProfile; readonly results: Map<string, RunResult> }>()

/** The model answer's run of a case; null where there is none. What is kept changes no report: a run is a pure function. */
function modelResult(exercise: Exercise, profile: BoardProfile, caseId: string, seed: number): RunResult | null {
  const answer = modelProgram(exercise, profile)
  if (answer === null) return null
  let shelf = kept.get(exercise)
  if (shelf?.profile !== profile) {
    shelf = { profile, results: new Map() }
    kept.set(exercise, shelf)
  }
  const key = `${caseId} ${seed}`
  const before = shelf.results.get(key)
  if (before !== undefined) return before
  const result = run(runRequestFor(exercise, profile, answer, caseId, seed))
  const [oldest] = shelf.results.keys()
  if (shelf.results.size >= mostKept && oldest !== undefined) shelf.results.delete(oldest)
  shelf.results.set(key, result)
  return result
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null
  return () => {
    made ??= { value: make() }
    return made.value
  }
}
