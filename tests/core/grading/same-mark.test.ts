import { expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { Random } from '../../../core/run/index.ts'
import { handedIn, otherAnswers, type OtherAnswer } from '../exercise/other-answers.ts'
import { exerciseOf, folders } from '../exercise/tram-depot.ts'

/** `HEXCAIRN_SEED=… npx vitest run …` takes other answers and students. */
const seed = Number(process.env['HEXCAIRN_SEED'] ?? 20261201)
const students = 3
/** Exercises whose runs are long have one answer each. */
const short = ['A1', 'A2', 'A3', 'A4', 'A5', 'A6', 'B1', 'B2', 'B4', 'B5', 'C1', 'C3', 'D1', 'D5']
/** What these do is right for the one value of a constant, which not every student has. */
const forOneStudent = ['A5/wrong-neighbours-row.asm']

function someOf(all: readonly OtherAnswer[], most: number, random: Random): readonly OtherAnswer[] {
  const left = all.filter(({ folder, file }) => !forOneStudent.includes(`${folder}/${file}`))
  return Array.from({ length: Math.min(most, left.length) }, () => left.splice(random.under(left.length), 1)).flat()
}

test.each(folders)('a hand-in to %s has the same mark and the same checks whoever hands it in', (id) => {
  const exercise = exerciseOf(id)
  const random = new Random(seed)
  const isShort = short.includes(id)
  const wrong = otherAnswers(id).filter(({ file }) => file.startsWith('wrong-'))
  for (const answer of someOf(wrong, isShort ? 6 : 1, random)) {
    const seen = Array.from({ length: isShort ? students : 2 }, () => {
      const student = random.under(100_000)
      const report = grade(handedIn(answer, exercise, student), exercise, benchEight, {
        seed: student,
        isStaffAnswer: true,
        isNearnessJudged: isShort,
      })
      const passed = report.checks.flatMap((check) => (check.outcome === 'passed' ? [check.id] : []))
      return [report.score, ...passed].join(' ')
    })
    expect(new Set(seen).size, `${answer.file}, seed ${seed}: ${seen.join(' | ')}`).toBe(1)
  }
})
