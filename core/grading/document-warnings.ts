import type { BoardProfile } from '../board/index.ts'
import {
  caseInstances,
  documentProblem,
  exerciseFor,
  modelRun,
  prepareCheck,
  registerText,
  registerValue,
  runRequestFor,
  type DocumentProblem,
  type Exercise,
  type WantedValue,
} from '../exercise/index.ts'
import type { Program } from '../assembler/index.ts'
import { showByte, showWord } from '../image/index.ts'
import { memoryAtStart, registersAtStart } from '../run/index.ts'
import { doNothingScore } from './do-nothing.ts'

/** Cases and values that are written out. */
const [mostCases, mostValues] = [2, 3]
const empty: Program = {
  ...{ isOk: true, format: 'hex', image: { segments: [] }, entry: 0, listing: [], symbols: {}, problems: [] },
}

/**
 * What in an exercise is no mistake and hardly meant: checks for which a program that does nothing gets marks, since what
 * they want is so before the first instruction. `path` is the check's.
 */
export function documentWarnings(written: Exercise, profile: BoardProfile, seed = 0): readonly DocumentProblem[] {
  const exercise = exerciseFor(written, seed)
  const seen = new Set<string>()
  return doNothingScore(exercise, profile, seed).flatMap(({ earning, what }) =>
    earning.flatMap(({ id, title, marks }) => {
      if (seen.has(id)) return []
      seen.add(id)
      const index = exercise.checks.findIndex((check) => check.id === id)
      const how = what === 'ends' ? '' : ' and goes round for ever'
      const gift = `a program that does nothing${how} gets ${marks} of 100 marks for “${title}”`
      const allowed = 'values that only a program’s work makes right, or a check that rests on one of what was done'
      const problem = documentProblem(['checks', index], 'right-before', gift, allowed)
      const why = standingAlready(exercise, profile, id, seed)
      return [
        {
          ...problem,
          message: `checks[${index}]: ${gift}.${why} Let it want what only work makes right, or rest on a check of what was done.`,
        },
      ]
    }),
  )
}

/** ` On the case “One” 4602h = 0Ch stands there before the program runs.` */
function standingAlready(exercise: Exercise, profile: BoardProfile, id: string, seed: number): string {
  const check = exercise.checks.find((each) => each.id === id)
  if (check === undefined) return ''
  const cases = new Set<string>()
  const found = caseInstances(exercise).flatMap((instance): string[] => {
    const { of } = instance
    if (cases.has(of.id) || (check.cases !== null && !check.cases.includes(of.id))) return []
    const model = () => (exercise.model === null ? null : modelRun(exercise, profile, instance.id, seed))
    const wanted = prepareCheck(exercise, check, of.id)?.wants(profile, model) ?? []
    const request = runRequestFor(exercise, profile, empty, instance.id, seed)
    const held = { registers: registersAtStart(request), memory: memoryAtStart(request) }
    if (wanted.length === 0 || !wanted.every((each) => each.isRight(held))) return []
    cases.add(of.id)
    const values = wanted.slice(0, mostValues).map(({ place }) => placeText(place, held))
    return [`On the case “${instance.title}” ${values.join(', ')} stands there before the program runs.`]
  })
  return found.length === 0 ? '' : ` ${found.slice(0, mostCases).join(' ')}`
}

function placeText(place: WantedValue['place'], { registers, memory }: Parameters<WantedValue['isRight']>[0]): string {
  if (place.kind === 'register') return registerText(place.register, registerValue(registers, place.register))
  const bytes = Array.from({ length: Math.min(place.length, 4) }, (_, i) => showByte(memory[place.at + i] ?? 0))
  return `${showWord(place.at)} = ${bytes.join(' ')}`
}
