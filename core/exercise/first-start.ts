import type { Program } from '../assembler/index.ts'
import { withoutCount, type BoardProfile } from '../board/index.ts'
import { memoryAtStart, registersAtStart, run, type RunRequest, type RunResult } from '../run/index.ts'
import { caseInstances } from './cases.ts'
import type { WantedValue } from './checks/check.ts'
import type { Exercise } from './exercise.ts'
import { modelProgram } from './model.ts'
import { prepareCheck } from './parse.ts'
import { usualStart, type StartNumber } from './start-values.ts'

type RequestOf = (
  exercise: Exercise,
  profile: BoardProfile,
  program: Program,
  caseId: string,
  start: StartNumber,
) => RunRequest

/** Values drawn at most until everything that is wanted starts out wrong. */
const mostRounds = 32
const empty: Program = {
  ...{ isOk: true, format: 'hex', image: { segments: [] }, entry: 0, listing: [], symbols: {}, problems: [] },
}
const known = new WeakMap<Exercise, { readonly profile: BoardProfile; readonly starts: Map<string, StartNumber> }>()

/**
 * The values that a case is graded with first: the first ones drawn of which none is already what a check wants at the
 * end, so that doing nothing is seen to be wrong. Where so much is wanted that there are none, those with the fewest; what
 * is right by chance then is found out by the other starts. Nothing of what is wanted can be told from the number.
 */
export function firstStart(
  exercise: Exercise,
  profile: BoardProfile,
  caseId: string,
  requestOf: RequestOf,
): StartNumber {
  let shelf = known.get(exercise)
  if (shelf?.profile !== profile) {
    shelf = { profile, starts: new Map() }
    known.set(exercise, shelf)
  }
  const before = shelf.starts.get(caseId)
  if (before !== undefined) return before
  const start = withoutCount(() => chosen(exercise, profile, caseId, requestOf))
  shelf.starts.set(caseId, start)
  return start
}

function chosen(exercise: Exercise, profile: BoardProfile, caseId: string, requestOf: RequestOf): StartNumber {
  const instance = caseInstances(exercise).find((each) => each.id === caseId)
  if (instance === undefined) return usualStart
  const checks = exercise.checks
    .filter((check) => check.cases === null || check.cases.includes(instance.of.id))
    .flatMap((check) => prepareCheck(exercise, check, instance.of.id) ?? [])
  const answer = modelProgram(exercise, profile)
  const models = new Map<StartNumber, RunResult>()
  const wantedOn = (start: StartNumber): readonly WantedValue[] => {
    const model = (): RunResult | null => {
      if (answer === null) return null
      const made = models.get(start) ?? run(requestOf(exercise, profile, answer, caseId, start))
      models.set(start, made)
      return made
    }
    return checks.flatMap((check) => check.wants(profile, model))
  }
  const wanted = wantedOn(usualStart)
  if (wanted.length === 0) return usualStart
  const rightOn = (start: StartNumber, values: readonly WantedValue[]): readonly boolean[] => {
    const request = requestOf(exercise, profile, empty, caseId, start)
    const held = { registers: registersAtStart(request), memory: memoryAtStart(request) }
    return values.map((each) => each.isRight(held))
  }
  const right = rightOn(usualStart, wanted)
  if (!right.includes(true)) return usualStart
  // What the exercise gives, or the model answer leaves as it was, is right on any start. Where many values are right,
  // two drawn ones may both be: zeros and ones are not.
  const isRightOn = (start: StartNumber): readonly boolean[] => rightOn(start, wantedOn(start))
  const again = isRightOn(usualStart + 2)
  const extremes = wanted.every(({ isOne }) => isOne) ? [] : [isRightOn(0), isRightOn(1)]
  const isAlwaysRight = (i: number): boolean =>
    [right, again, ...(wanted[i]?.isOne === true ? [] : extremes)].every((each) => each[i] === true)
  const values = wanted.filter((_, i) => !isAlwaysRight(i))
  let best = { start: usualStart, count: Infinity }
  const rounds = Array.from({ length: mostRounds }, (_, round) => usualStart + 2 * round)
  // A range or a mask may leave hardly a value that is wrong: all zeros or all ones is one.
  for (const start of [...rounds, 0, 1]) {
    if (best.count === 0) break
    const count = rightOn(start, values).filter((isRight) => isRight).length
    if (count < best.count) best = { start, count }
  }
  return best.start
}
