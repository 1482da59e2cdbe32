import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { grade, type Report } from '../../../core/grading/index.ts'
import { drawnAnew } from '../../../core/exercise/index.ts'
import { handedIn, otherAnswers, type OtherAnswer } from '../exercise/other-answers.ts'
import { exerciseOf, folders } from '../exercise/tram-depot.ts'

/** Answers that are still judged wrongly, each with the reason. Nothing may be added here but what is being mended. */
const stillUnfair: Readonly<Record<string, string>> = {}

/** Of students, and of values drawn anew: what is right or wrong of an answer hangs on neither. */
const seeds = [0, 7, 20_261_130]

/** Read once, so that the model answer's runs are kept for the next hand-in. */
const exercises = new Map(
  folders.map((folder) => {
    const exercise = exerciseOf(folder)
    return [folder, new Map(seeds.map((seed) => [seed, seed === 0 ? exercise : drawnAnew(exercise, seed)]))]
  }),
)

function reportOn(answer: OtherAnswer, seed: number): Report {
  const exercise = exercises.get(answer.folder)?.get(seed)
  if (exercise === undefined) throw new Error(`no exercise ${answer.folder}`)
  return grade(handedIn(answer, exercise, seed), exercise, benchEight, { seed, isNearnessJudged: false })
}

/** Where a seed decides little and the board runs for seconds, two seeds have to do. */
function reportsOn(answer: OtherAnswer): readonly Report[] {
  const [first, ...more] = seeds
  const report = reportOn(answer, first ?? 0)
  const isLong = report.cases.reduce((sum, { tStates }) => sum + tStates, 0) > 20e6
  return [report, ...more.slice(isLong ? 1 : 0).map((seed) => reportOn(answer, seed))]
}

function lostMarks(report: Report): readonly string[] {
  const lost = report.checks.filter((check) => check.outcome !== 'passed')
  return [...report.problems.map(({ message }) => message), ...lost.map(({ id, message }) => `${id}: ${message}`)]
}

/** Names of the checks that found something, `refused` where the program was not run. */
function noticedBy(report: Report): readonly string[] {
  if (report.status === 'unreadable') return ['refused']
  return report.checks.filter((check) => check.outcome !== 'passed').map(({ id }) => id)
}

const testOf = ({ folder, file }: OtherAnswer): typeof test | typeof test.skip =>
  `${folder}/${file}` in stillUnfair ? test.skip : test

describe.each(folders.filter((folder) => otherAnswers(folder).length > 0))('%s', (folder) => {
  const rights = otherAnswers(folder).filter(({ file }) => file.startsWith('right-'))
  const wrongs = otherAnswers(folder).filter(({ file }) => file.startsWith('wrong-'))

  for (const answer of rights) {
    testOf(answer)(`${answer.file} loses nothing: ${answer.about}`, () => {
      expect(answer.fails).toEqual([])
      for (const report of reportsOn(answer)) {
        expect(lostMarks(report)).toEqual([])
        expect(report).toMatchObject({ status: 'graded', isFullMarks: true })
      }
    })
  }
  for (const answer of wrongs) {
    testOf(answer)(`${answer.file} is noticed: ${answer.about}`, () => {
      expect(answer.fails.length).toBeGreaterThan(0)
      for (const report of reportsOn(answer)) {
        expect(noticedBy(report)).toEqual(expect.arrayContaining([...answer.fails]))
        expect(report.isFullMarks).toBe(false)
      }
    })
  }
})

test('every answer says in its first line what it is, and is named right or wrong', () => {
  for (const folder of folders) {
    for (const { file, about } of otherAnswers(folder)) {
      expect(file).toMatch(/^(right|wrong)-[a-z-]+\.(asm|hex|ihx)$/)
      expect(about.length, `${folder}/${file}`).toBeGreaterThan(5)
    }
  }
})
