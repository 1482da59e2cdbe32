import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import type { Marks, ReviewQueue, Submission } from '../../../server/contract/index.ts'
import { inThread, openHouse, type House, type Visitor } from '../harness.ts'
import { openClass, rightProgram, sumYaml, wrongProgram, type Class } from '../sample.ts'

const withQuestion = sumYaml.replace('title: What it does, marks: 100', 'title: What it does, marks: 90').replace(
  'hints:',
  `questions:
  - id: why
    ask: Why does the carry not matter here?
    marks: 10
    longest: 80
    rubric:
      - { marks: 6, for: ADD leaves the old carry out }
      - { marks: 4, for: The sum fits into eight bits }
    sample: ADD does not add the carry, and the sum is below 256.
hints:`,
)

let house: House
let group: Class
beforeAll(async () => {
  house = await openHouse({ pool: inThread })
})
afterAll(() => house.close())
let round = 0
beforeEach(async () => {
  // Each test has a class of its own: names are unique in an installation.
  round += 1
  group = round === 1 ? await openClass(house, withQuestion) : await fresh()
})

async function fresh(): Promise<Class> {
  const exercise = await group.instructor.take<Class['exercise']>('POST', `/api/courses/${group.course.id}/exercises`, {
    source: withQuestion.replace('id: sum', `id: sum${round}`),
    isPublished: true,
  })
  return { ...group, exercise }
}

function handIn(who: Visitor, answers: Record<string, string> | undefined, program: object = rightProgram) {
  const body = { ...program, ...(answers === undefined ? {} : { answers }) }
  return who.post(`/api/exercises/${group.exercise.id}/submissions`, body, { prefer: 'wait=20' })
}
const handedIn = async (answers: Record<string, string>, program: object = rightProgram) =>
  (await handIn(group.student, answers, program)).json<Submission>()
const mark = (id: string, body: object, who = group.assistant) =>
  who.request('PUT', `/api/submissions/${id}/written/why`, body)
const queueOf = async () =>
  (await group.assistant.take<ReviewQueue>('GET', `/api/courses/${group.course.id}/review?limit=200`)).items.filter(
    ({ submission }) => submission.exerciseId === group.exercise.id,
  )

describe('a written answer', () => {
  test('is kept, shown to staff with the rubric, and to its student without it', async () => {
    const { id, written, score, toMark } = await handedIn({ why: '  ADD does not look at it.  ' })
    expect([score, toMark]).toEqual([90, 1])
    expect(written).toMatchObject([
      { questionId: 'why', outOf: 10, text: 'ADD does not look at it.', marks: null, rubric: null, sample: null },
    ])
    const seen = await group.assistant.take<Submission>('GET', `/api/submissions/${id}`)
    expect(seen.written[0]).toMatchObject({
      rubric: [{ marks: 6, isMet: false }, { marks: 4 }],
      sample: expect.stringContaining('below 256') as string,
    })
    const view = await group.student.get(`/api/exercises/${group.exercise.id}`)
    expect(view.json<{ document: { questions: unknown } }>().document.questions).toEqual([
      { id: 'why', ask: 'Why does the carry not matter here?', marks: 10, longest: 80 },
    ])
    expect(view.body).not.toContain('leaves the old carry out')
  })

  test('waits in the review queue until it is marked, and its marks join the score everywhere', async () => {
    const { id } = await handedIn({ why: 'ADD does not look at it.' })
    expect((await queueOf()).map(({ reason }) => reason)).toEqual(['to-mark'])
    const marked = (await mark(id, { points: [0], remark: 'And the sum?' })).json<Submission>()
    expect([marked.score, marked.isFullMarks, marked.toMark]).toEqual([96, false, 0])
    const own = await group.student.take<Submission>('GET', `/api/submissions/${id}`)
    expect(own.written[0]).toMatchObject({
      marks: 6,
      remark: 'And the sum?',
      markedBy: { displayName: 'Asha Verma' },
      rubric: [{ isMet: true }, { isMet: false }],
      sample: null,
    })
    const marks = await group.student.take<Marks>('GET', `/api/courses/${group.course.id}/marks`)
    const column = marks.exercises.findIndex((each) => each.id === group.exercise.id)
    expect(marks.rows[0]?.scores[column]).toBe(96)
    expect((await mark(id, { points: [0, 1] })).json<Submission>()).toMatchObject({ score: 100, isFullMarks: true })
    expect(await queueOf()).toEqual([])
  })

  test('may get other marks than the sum of its points', async () => {
    const { id } = await handedIn({ why: 'Hm.' })
    expect((await mark(id, { points: [], marks: 2.5 })).json<Submission>()).toMatchObject({ score: 92.5 })
  })

  test('keeps its marks when it is handed in again word for word, and waits anew when it changed', async () => {
    const first = await handedIn({ why: 'The sum is small.' }, wrongProgram)
    await mark(first.id, { points: [1] })
    const again = await handedIn({ why: 'The sum is small.' })
    expect([again.score, again.toMark, again.written[0]?.marks]).toEqual([94, 0, 4])
    const changed = await handedIn({ why: 'The sum is below 256.' })
    expect([changed.score, changed.toMark, changed.written[0]?.marks]).toEqual([90, 1, null])
  })

  test('that is empty gets nothing and waits for nobody', async () => {
    const { score, toMark, id } = await handedIn({ why: '   ' })
    expect([score, toMark]).toEqual([90, 0])
    expect((await mark(id, { points: [0] })).json()).toMatchObject({ code: 'marking-unfit' })
  })

  test.each([
    [{ why: 'x'.repeat(81) }, "'why': found 81 characters, allowed 80."],
    [{ who: 'Me.' }, "Found an answer to 'who', allowed why."],
    [{ why: 'a\u0000b' }, "'why': found a control character (U+0000) at position 2, allowed text."],
  ])('%j is refused with what was found and allowed, and counts as no try', async (answers, detail) => {
    const response = await handIn(group.student, answers)
    expect([response.statusCode, response.json()]).toEqual([
      422,
      expect.objectContaining({ code: 'answer-unfit', detail }),
    ])
    const list = await group.student.get(`/api/exercises/${group.exercise.id}/submissions`)
    expect(list.json<{ items: unknown[] }>().items).toEqual([])
  })

  test.each([[{ points: [2] }], [{ points: [0], marks: 10.5 }]])('marks of %j do not fit', async (body) => {
    const { id } = await handedIn({ why: 'Hm.' })
    expect((await mark(id, body)).statusCode).toBe(422)
  })

  test('is marked by staff alone', async () => {
    const { id } = await handedIn({ why: 'Hm.' })
    const body = { points: [0, 1] }
    expect((await mark(id, body, group.student)).statusCode).toBe(403)
    expect((await mark(id, body, group.otherStudent)).statusCode).toBe(404)
  })

  test('sent twice under one key is one hand-in; with another answer the key is refused', async () => {
    const url = `/api/exercises/${group.exercise.id}/submissions`
    const key = { 'idempotency-key': `again-${round}` }
    const body = { ...rightProgram, answers: { why: 'Small.' } }
    const first = await group.student.take<Submission>('POST', url, body, key)
    expect((await group.student.take<Submission>('POST', url, body, key)).id).toBe(first.id)
    expect((await group.student.post(url, { ...body, answers: { why: 'Large.' } }, key)).statusCode).toBe(422)
  })
})
