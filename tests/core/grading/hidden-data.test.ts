import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { exerciseFor, studentView, type Exercise } from '../../../core/exercise/index.ts'
import { grade, studentReport, type Report } from '../../../core/grading/index.ts'
import { exerciseOf, filesOf, folders, programOf } from '../exercise/tram-depot.ts'

const printedSeed = 20_261_125

/** Every text, number and list that stands in a value and is long enough to be told from chance. */
function valuesIn(value: unknown): readonly string[] {
  if (typeof value === 'string') return value.trim().length >= 4 ? [value.trim()] : []
  if (Array.isArray(value)) {
    const whole = value.length >= 3 && value.every((each) => typeof each === 'number') ? [JSON.stringify(value)] : []
    return [...whole, ...value.flatMap(valuesIn)]
  }
  if (typeof value !== 'object' || value === null) return []
  return Object.values(value).flatMap(valuesIn)
}

/** What only hidden checks, hidden cases and the model answer hold. */
function secretsOf(exercise: Exercise): readonly string[] {
  const hiddenChecks = exercise.checks.filter((check) => !check.visible)
  const hiddenCases = exercise.cases.filter((each) => !each.visible)
  const { model, checks, cases, ...open } = exercise
  const hints = open.hints.map(({ rung, ask }) => ({ rung, ask }))
  const answers = open.hints.map(({ say }) => say)
  const shown = JSON.stringify([
    { ...open, hints },
    checks.filter((check) => check.visible),
    cases.filter((each) => each.visible),
    // A category and a group are all that is told of a hidden check.
    hiddenChecks.map(({ kind, group }) => [kind, group]),
  ])
  const lines = (model?.text ?? '').split('\n').map((line) => line.trim())
  const found = [
    ...valuesIn(hiddenChecks),
    ...valuesIn(hiddenCases),
    ...lines.filter((line) => line.length >= 10),
    ...answers,
  ]
  return [...new Set(found)].filter(
    (each) => !shown.includes(JSON.stringify(each).slice(1, -1)) && !shown.includes(each),
  )
}

/** What a report tells of hidden checks and hidden cases, and of nothing else. */
function toldInSecret(report: Report): readonly string[] {
  const hidden = new Set(report.cases.filter((each) => !each.isVisible).map(({ id }) => id))
  const isSecret = ({ isVisible, decidedAt }: Report['checks'][number]): boolean =>
    !isVisible || (decidedAt !== null && hidden.has(decidedAt.caseId))
  const told = (checks: readonly Report['checks'][number][]): readonly (string | null)[] =>
    checks.flatMap(({ measured, wanted, message }) => [measured, wanted, message])
  const open = JSON.stringify([told(report.checks.filter((each) => !isSecret(each))), report.problems])
  return told(report.checks.filter(isSecret)).flatMap((each) =>
    each !== null && each.length >= 4 && !open.includes(JSON.stringify(each).slice(1, -1)) ? [each] : [],
  )
}

/** Those that stand in a text. A short word counts only where it stands alone, as a value: it may be part of another. */
function leaks(text: string, secrets: readonly string[]): readonly string[] {
  return secrets.filter((secret) => {
    const written = JSON.stringify(secret)
    return text.includes(secret.length < 8 ? written : written.slice(1, -1))
  })
}

describe.each(folders)('%s', (folder) => {
  const exercise = exerciseOf(folder)
  const files = Object.keys(filesOf(folder)).filter((file) => /^(model|other|wrong-.*)\.(asm|hex|ihx)$/.test(file))

  test('what a student sees of it holds no hidden value, no hint’s answer and no line of the model answer', () => {
    const secrets = secretsOf(exercise)
    if (exercise.model !== null) expect(secrets.length).toBeGreaterThan(0)
    for (const seed of [0, 1, 77]) {
      const view = JSON.stringify(studentView(exercise, benchEight, seed))
      expect(leaks(view, secretsOf(exerciseFor(exercise, seed)))).toEqual([])
      expect(leaks(view, secrets)).toEqual([])
    }
  })

  test('no report shows a student what a hidden check or a hidden case wanted or measured', () => {
    const secrets = secretsOf(exercise)
    fc.assert(
      fc.property(fc.constantFrom(...files), fc.nat(0xffff), (file, seed) => {
        const full = grade(programOf(folder, file, seed), exercise, benchEight, { seed })
        const seen = studentReport(full)
        const text = JSON.stringify(seen)
        expect([file, leaks(text, [...secrets, ...toldInSecret(full)])]).toEqual([file, []])
        expect(seen.score).toBe(full.score)
        expect(seen.checks.map(({ outcome }) => outcome)).toEqual(full.checks.map(({ outcome }) => outcome))
      }),
      { numRuns: 6, seed: printedSeed },
    )
  })
})
