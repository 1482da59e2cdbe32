import { expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { drawnAnew, withOwnNames, type Exercise } from '../../../core/exercise/index.ts'
import { grade, type Report } from '../../../core/grading/index.ts'
import { exerciseOf } from '../exercise/tram-depot.ts'
import { beforeModel, harmless, ifLucky, lucky } from './chance-programs.ts'

/** Exercises with short runs. */
const short = ['A2', 'A3', 'A4', 'A5', 'A6', 'B1', 'B5', 'C1', 'C3', 'D1', 'D3']
const exercises = new Map(short.map((folder) => [folder, shortened(exerciseOf(folder))]))

/** Its first case alone, once, without the checks that instructions more would fail. */
function shortened(exercise: Exercise): Exercise {
  const [first] = exercise.cases
  if (first === undefined) throw new Error('no case')
  const strict = ['size', 't-states', 'program-bytes']
  return {
    ...exercise,
    cases: [{ ...first, times: 1, boundaries: false }],
    checks: exercise.checks
      .filter(({ kind, cases }) => !strict.includes(kind) && (cases === null || cases.includes(first.id)))
      .filter((check) => check['noOtherWrite'] !== true),
  }
}
/** Each has other values in what nothing sets. */
const rounds = [0, 1, 2, 3, 4, 5, 6, 7]

function exerciseNamed(folder: string): Exercise {
  const exercise = exercises.get(folder)
  if (exercise === undefined) throw new Error(`no exercise ${folder}`)
  return exercise
}

function reportOn(text: string, of: Exercise, round: number, isLuckJudged: boolean): Report {
  const exercise = drawnAnew(of, round)
  const source = withOwnNames({ format: 'assembly', text }, exercise, round)
  return grade(source, exercise, benchEight, { seed: round, isLuckJudged, isNearnessJudged: false })
}

/** Each with two exercises, in turn. */
const pairsOf = <T>(list: readonly T[], step: number): (readonly [folder: string, of: T])[] =>
  list.flatMap((of, i) => [0, 1].map((k) => [short[(2 * i + k * step) % short.length] ?? '', of] as const))

test('an answer that is right only where luck has it so never gets full marks', () => {
  let passing = 0
  for (const [folder, of] of pairsOf(lucky, 3)) {
    const exercise = exerciseNamed(folder)
    const text = ifLucky(folder, of, exercise.program.ends === 'halt' ? 'HALT' : 'RET')
    const round = rounds.find((each) => reportOn(text, exercise, each, false).isFullMarks)
    if (round === undefined) continue
    passing += 1
    const report = reportOn(text, exercise, round, true)
    expect([folder, of[0], report.isFullMarks]).toEqual([folder, of[0], false])
  }
  expect(passing).toBeGreaterThanOrEqual(55)
})

test('an answer that takes in what nothing has set without harm loses nothing by it', () => {
  let full = 0
  for (const [folder, [what, lines]] of pairsOf(harmless, 5)) {
    const exercise = exerciseNamed(folder)
    const text = beforeModel(folder, lines.split('|'))
    const round = folder.charCodeAt(1) + what.length
    const report = reportOn(text, exercise, round, true)
    if (report.isFullMarks) full += 1
    expect([folder, what, report]).toEqual([folder, what, reportOn(text, exercise, round, false)])
  }
  expect(full).toBeGreaterThanOrEqual(40)
})
