import { describe, expect, test } from 'vitest'
import { exerciseDigest, marksByHand, parseExercise, studentView } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { documentOf, filesOf } from './tram-depot.ts'

const question = (more: Record<string, unknown> = {}) => ({
  id: 'why',
  ask: 'Why does 37h come first?',
  marks: 10,
  rubric: [
    { marks: 7, for: 'Tram yards sort by that' },
    { marks: 3, for: 'An address is a number' },
  ],
  ...more,
})

/** A2 with ten marks fewer for what it does, and the question. */
function withQuestions(...questions: Record<string, unknown>[]) {
  const document = structuredClone(documentOf('A2')) as { groups: { marks: number }[]; questions?: unknown }
  const [first] = document.groups
  if (first !== undefined) first.marks -= 10
  document.questions = questions
  return parseExercise(document, filesOf('A2'))
}

describe('a question in words', () => {
  test('has marks beside those of the groups', () => {
    const { exercise, problems } = withQuestions(question())
    expect(problems).toEqual([])
    if (exercise === null) throw new Error('not read')
    expect(marksByHand(exercise)).toBe(10)
    const report = grade({ format: 'assembly', text: filesOf('A2')['model.asm'] ?? '' }, exercise, benchEight)
    expect([report.score, report.isFullMarks]).toEqual([90, true])
  })

  test('is shown to a student without its rubric and its sample', () => {
    const { exercise } = withQuestions(question({ sample: 'Because it is written there.' }))
    if (exercise === null) throw new Error('not read')
    expect(studentView(exercise).questions).toEqual([
      { id: 'why', ask: 'Why does 37h come first?', marks: 10, longest: 600 },
    ])
    expect(JSON.stringify(studentView(exercise))).not.toContain('Tram yards')
  })

  test('decides no report: its words do not change the digest', () => {
    const [one, other] = [withQuestions(question()), withQuestions(question({ ask: 'And why?' }))]
    if (one.exercise === null || other.exercise === null) throw new Error('not read')
    expect(exerciseDigest(one.exercise)).toBe(exerciseDigest(other.exercise))
  })

  test.each([
    [[question({ marks: 9, rubric: [{ marks: 9, for: 'x' }] })], 'groups: marks'],
    [[question({ marks: 10, rubric: [{ marks: 9, for: 'x' }] })], 'questions.0.rubric: rubric'],
    [
      [
        question({ marks: 5, rubric: [{ marks: 5, for: 'x' }] }),
        question({ marks: 5, rubric: [{ marks: 5, for: 'y' }] }),
      ],
      'questions.1.id: duplicate',
    ],
    [[question({ longest: 5000 })], 'questions.0.longest: '],
    [[question({ rubric: [] })], 'questions.0.rubric: '],
  ])('wrong document %#', (questions, problem) => {
    const found = withQuestions(...questions).problems.map(({ path, code }) => `${path.join('.')}: ${code}`)
    expect(found.some((each) => each.startsWith(problem))).toBe(true)
  })
})
