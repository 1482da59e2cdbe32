import { expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { Random } from '../../../core/run/index.ts'
import { handedIn, otherAnswers } from '../exercise/other-answers.ts'
import { exerciseOf } from '../exercise/tram-depot.ts'

/** `HEXCAIRN_SEED=… npx vitest run …` takes other answers and students. */
const seed = Number(process.env['HEXCAIRN_SEED'] ?? 20261130)
const [answers, students] = [3, 3]

/** Exercises whose runs are short. */
test.each(['A1', 'A2', 'A3', 'A4', 'A5', 'B1', 'B2', 'B4', 'B5', 'C1', 'C3', 'D5'])(
  'a hand-in to %s passes the same checks whoever hands it in',
  (id) => {
    const exercise = exerciseOf(id)
    const random = new Random(seed)
    const all = otherAnswers(id)
    for (let i = 0; i < answers; i++) {
      const answer = all[random.under(all.length)]
      if (answer === undefined) continue
      // Partial credit counts what is right of data drawn for each student, so that the marks may differ by a little.
      const passed = Array.from({ length: students }, () => {
        const student = random.under(100_000)
        const report = grade(handedIn(answer, exercise, student), exercise, benchEight, {
          seed: student,
          isStaffAnswer: true,
        })
        return report.checks.flatMap((check) => (check.outcome === 'passed' ? [check.id] : [])).join(' ')
      })
      expect(new Set(passed).size, `${answer.file}, seed ${seed}: ${passed.join(' | ')}`).toBe(1)
    }
  },
)
