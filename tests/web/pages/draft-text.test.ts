import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { draftExercise } from '../../../core/diagnosis/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { checkDocument } from '../../../web/pages/exercise-editor/check-document.ts'
import { draftOf, textOf } from '../../../web/pages/exercise-editor/draft-text.ts'
import { starter } from '../../../web/pages/exercise-editor/starter.ts'

const model = { format: 'assembly', text: '  LD HL,4600h\n  LD (HL),37h\n  HALT\n' } as const

describe('a document drafted from a model answer', () => {
  test('reads well as text, and its model answer gets full marks', () => {
    const draft = draftExercise({ title: 'Fleet number', brief: 'Put 37h at 4600h. Then halt.', model }, benchEight)
    expect(draft.problems).toEqual([])
    const { exercise, problems } = checkDocument(textOf(draft), [benchEight])
    expect(problems).toEqual([])
    if (exercise === null) throw new Error('it was read')
    expect(grade(model, exercise, benchEight).isFullMarks).toBe(true)
    expect(grade({ ...model, text: model.text.replace('37h', '36h') }, exercise, benchEight).isFullMarks).toBe(false)
  })

  test('of a document under way: its cases stay, its checks are proposed anew', () => {
    const { exercise } = checkDocument(starter, [benchEight])
    const from = draftOf(starter, exercise?.model ?? null)
    expect(from).toMatchObject({ id: 'N1', title: 'A new exercise' })
    if (from === null) throw new Error('it has a model answer')
    const draft = draftExercise(from, benchEight)
    expect(draft.problems).toEqual([])
    expect(draft.runs.map(({ caseId }) => caseId)).toContain('plain')
    expect(draft.proposals.map(({ check }) => check['kind'])).toContain('memory')
  })

  test('is none without a model answer, or where the text is no document', () => {
    expect(draftOf(starter, null)).toBeNull()
    expect(draftOf('checks: [', model)).toBeNull()
    expect(draftOf('just words', model)).toBeNull()
  })
})
