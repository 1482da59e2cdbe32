import { marksByHand } from '../../../core/exercise/index.ts'
import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { grade, type Report } from '../../../core/grading/index.ts'
import { exerciseOf, filesOf, folders, mistakesOf, programOf, textOf } from '../exercise/tram-depot.ts'

function reportOn(folder: string, file: string, seed?: number): Report {
  return grade(programOf(folder, file, seed), exerciseOf(folder), benchEight, seed === undefined ? {} : { seed })
}

/** What a reader needs to see when a correct answer loses marks. */
function lostMarks(report: Report): readonly string[] {
  const lost = report.checks.filter((check) => check.outcome !== 'passed')
  return [...report.problems.map(({ message }) => message), ...lost.map(({ id, message }) => `${id}: ${message}`)]
}

describe('a check that rests on one that failed', () => {
  // B4: the routine never returns, so nothing that rests on the time it takes counts.
  const { checks, firstWrong } = reportOn('B4', 'wrong-no-zero-test.asm')
  const held = checks.filter((check) => check.counts === 0)

  test('gives no marks, whatever it found', () => {
    expect(held.length).toBeGreaterThan(0)
    for (const { marks } of held) expect(marks).toBe(0)
  })
  test('tells what it found wrong, or that it is right and counts later', () => {
    expect(checks.find(({ id }) => id === firstWrong?.checkId)?.message).toMatch(/wanted/)
    for (const { outcome, message } of held) {
      expect(message).toMatch(outcome === 'skipped-by-gate' ? /^Right: .* It counts once / : /\.$/)
    }
  })
})

describe.each(folders)('%s', (folder) => {
  const answers = Object.keys(filesOf(folder)).filter((file) => /^(model|other)\./.test(file))
  const wrongs = Object.keys(filesOf(folder)).filter((file) => file.startsWith('wrong-'))

  test('has a model answer and a second correct one', () => {
    expect(answers.length).toBeGreaterThanOrEqual(2)
  })
  test.each(answers)('%s scores full marks, whatever the seed', (file) => {
    const first = reportOn(folder, file)
    // Seconds of board time take grading a while; what is drawn matters little there, so two seeds have to do.
    const isLong = first.cases.reduce((sum, { tStates }) => sum + tStates, 0) > 20e6
    const others = (isLong ? [20_261_125] : [1, 20_261_125]).map((seed) => reportOn(folder, file, seed))
    for (const report of [first, ...others]) {
      expect(lostMarks(report)).toEqual([])
      const score = 100 - marksByHand(exerciseOf(folder))
      expect(report).toMatchObject({ score, isFullMarks: true, firstWrong: null })
    }
  })
  test('has a ladder of hints and two cards that fit on a screen', () => {
    const { hints, cards } = exerciseOf(folder)
    expect(hints.map(({ rung }) => rung)).toEqual(['point', 'concept', 'nearly'])
    expect(cards.length).toBeGreaterThanOrEqual(2)
    for (const { text, example } of cards) expect(`${text} ${example}`.split(/\s+/).length).toBeLessThanOrEqual(120)
  })
  test('at least five mistakes are written down, each with its cause', () => {
    expect(
      mistakesOf(folder)
        .map((mistake) => mistake.file)
        .sort(),
    ).toEqual(wrongs.sort())
    expect(wrongs.length).toBeGreaterThanOrEqual(5)
    for (const { file, cause, causeId, faultyLine } of mistakesOf(folder)) {
      expect(cause.length).toBeGreaterThan(10)
      expect(causeId).toMatch(/^[a-z]+(-[a-z]+)*$/)
      if (faultyLine !== undefined) expect(textOf(folder, file).split('\n')[faultyLine - 1]).toMatch(/\S/)
    }
  })
  test.each(mistakesOf(folder))('$file loses marks where expected', ({ file, fails }) => {
    const report = reportOn(folder, file)
    expect(report.status).toBe('graded')
    expect(report.score).toBeLessThan(100)
    const failed = report.checks.filter((check) => check.outcome !== 'passed').map((check) => check.id)
    expect(failed).toEqual(expect.arrayContaining([...fails]))
    // What is called the first wrong thing says what is wrong with it, where it does not count too.
    const first = report.checks.find((check) => check.id === report.firstWrong?.checkId)
    expect(first?.message).toMatch(/\S/)
    expect(first?.message).not.toMatch(/^Right/)
  })
})
