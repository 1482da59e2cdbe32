import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { ApiFault } from '../../../web/state/fault.ts'
import { ExerciseDraft } from '../../../web/state/ExerciseDraft.svelte.ts'
import { checkDocument } from '../../../web/pages/exercise-editor/check-document.ts'
import { starter } from '../../../web/pages/exercise-editor/starter.ts'

const boards = [benchEight]
const check = (text: string) => checkDocument(text, boards)
const places = (text: string) => check(text).problems.map(({ code, at }) => `${code} at line ${at.line}`)
const lineOf = (text: string, part: string) => text.slice(0, text.indexOf(part)).split('\n').length

describe('an exercise document in the editor', () => {
  test('the one a new exercise begins with reads well', () => {
    expect(places(starter)).toEqual([])
    expect(check(starter).exercise?.id).toBe('N1')
  })

  test('text that is no YAML is said with its line', () => {
    const { exercise, problems } = check('format: hexcairn-exercise/1\nid: [N1\ntitle: x\n')
    expect(exercise).toBeNull()
    expect(problems[0]).toMatchObject({ code: 'not-yaml' })
    expect(problems[0]?.at.line).toBeGreaterThanOrEqual(2)
  })

  test('of very many problems the first fifty are listed, and how many more there are', () => {
    const { problems } = check(`${starter}${Array.from({ length: 61 }, (_, i) => `extra${i}: 1\n`).join('')}`)
    expect(problems).toHaveLength(51)
    expect(problems.at(-1)?.message).toBe('And 11 more problems, told once these are mended.')
  })

  test('an unknown check is found at its own line', () => {
    const text = starter.replace('kind: size', 'kind: sise')
    expect(places(text)).toContain(`unknown-kind at line ${lineOf(text, 'kind: sise')}`)
  })

  test('every problem is said, none hides another', () => {
    const text = starter.replace('marks: 80', 'marks: 70').replace('board: bench-8', 'board: 7 # no name')
    expect(check(text).problems.length).toBeGreaterThanOrEqual(1)
    const two = starter.replace('title: Size,', 'titel: Size,').replace('max: 12', 'max: many')
    expect(check(two).problems.length).toBeGreaterThanOrEqual(2)
  })

  test('a board that is not there is said at its name, once the boards are known', () => {
    const text = starter.replace('board: bench-8', 'board: bench-9')
    expect(places(text)).toEqual([`board-unknown at line ${lineOf(text, 'board: bench-9')}`])
    expect(checkDocument(text, []).exercise?.board).toBe('bench-9')
  })

  test('a value that does not fit the board is said at its place', () => {
    const text = starter.replace(
      'title: As it is',
      'title: As it is\n    given: { keys: [{ key: Q7, at: 1 ms, for: 5 ms }] }',
    )
    expect(places(text)).toEqual([`unknown-key at line ${lineOf(text, 'Q7')}`])
  })
})

describe('a draft', () => {
  test('keeps the last good reading while a word is half typed', () => {
    const draft = new ExerciseDraft(starter, boards, checkDocument)
    draft.type(starter.replace('marks: 80', 'marks: '))
    expect(draft.exercise).toBeNull()
    expect(draft.lastGood?.id).toBe('N1')
  })

  test('shows what the server found, as long as the text is the one it saw', () => {
    const draft = new ExerciseDraft(starter, boards, checkDocument)
    const fault = new ApiFault(
      {
        ...{ type: '', code: 'x', title: 'x', status: 422, detail: 'x', instance: '' },
        errors: [{ pointer: '/id', message: 'the id is taken', line: 2, column: 5 }],
      },
      422,
    )
    draft.refused(starter, fault)
    expect(draft.problems.map((problem) => `${problem.at.line}: ${problem.message}`)).toEqual(['2: the id is taken'])
    draft.type(`${starter}\n`)
    expect(draft.problems).toEqual([])
  })

  test('is changed until it is saved', () => {
    const draft = new ExerciseDraft(starter, boards, checkDocument)
    expect(draft.isChanged).toBe(false)
    draft.type(`${starter}# more\n`)
    expect(draft.isChanged).toBe(true)
    draft.saved(draft.text)
    expect(draft.isChanged).toBe(false)
  })
})
