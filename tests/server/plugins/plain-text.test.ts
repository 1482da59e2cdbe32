import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { ProblemDetails } from '../../../server/contract/index.ts'
import { openHouse, type House } from '../harness.ts'
import { openClass, sumYaml, type Class } from '../sample.ts'

describe('a request with characters that nobody sees', () => {
  let house: House
  let group: Class
  beforeAll(async () => {
    house = await openHouse()
    group = await openClass(house)
  })
  afterAll(() => house.close())

  test.each([
    ['a title', 'PATCH', '', { title: 'Depot\u0000' }, '/title'],
    ['a title of two lines', 'PATCH', '', { title: 'Depot\nHall' }, '/title'],
    ['a description', 'PATCH', '', { description: 'Depot\u202E' }, '/description'],
    ['a saved answer', 'POST', '/saved-answers', { text: 'See\u0007' }, '/text'],
    [
      'a sentence of the feedback',
      'PUT',
      '/feedback',
      { settings: { texts: { 'gap.sum': 'a\u0000' } } },
      '/settings/texts/gap.sum',
    ],
    ['an exercise', 'POST', '/exercises', { source: 'id: a\u0000' }, '/source'],
  ] as const)('in %s is refused with its field', async (_what, method, end, body, pointer) => {
    const response = await group.instructor.request(method, `/api/courses/${group.course.id}${end}`, body)
    const problem = response.json<ProblemDetails>()
    expect([response.statusCode, problem.code]).toEqual([400, 'invalid-request'])
    expect(problem.errors?.[0]).toMatchObject({ pointer, message: expect.stringContaining('(U+') })
  })

  test('in an exercise, written as an escape of YAML, is refused with its line', async () => {
    const source = sumYaml.replace('title: A sum', 'title: "A \\0 sum"')
    const response = await group.instructor.post(`/api/courses/${group.course.id}/exercises`, { source })
    expect(response.json()).toMatchObject({
      code: 'exercise-document-wrong',
      errors: [
        {
          pointer: '/title',
          line: 3,
          message: 'title: found a control character (U+0000) at position 3, allowed text.',
        },
      ],
    })
  })

  test.each(['3E 05\u202E', '3E\u200B05', '\u001a'])('in a program, %j, is refused and not counted', async (text) => {
    const url = `/api/exercises/${group.exercise.id}/submissions`
    expect((await group.student.post(url, { format: 'hex', text })).json()).toMatchObject({ code: 'hand-in-not-text' })
    expect((await group.student.get(url)).json()).toMatchObject({ items: [] })
  })

  test.each(['/api/courses/%00', '/api/exercises/a%E2%80%AE', '/api/submissions/%00/trace', '/api/courses/x%0A/marks'])(
    'in the address %s is refused and not looked for',
    async (url) =>
      expect((await group.student.get(url)).json()).toMatchObject({ status: 400, code: 'invalid-request' }),
  )

  test('in a query is refused', async () => {
    const response = await group.student.get(`/api/exercises/${group.exercise.id}/submissions?after=%00`)
    expect(response.json()).toMatchObject({ status: 400, code: 'invalid-request' })
  })

  test.each(['0000-01-01T00:00:00Z', '0001-01-01T00:00:00Z', '1969-12-31T23:59:59Z'])(
    'or a time of a year like that of %s is refused',
    async (dueAt) => {
      const response = await group.instructor.request('PATCH', `/api/exercises/${group.exercise.id}`, { dueAt })
      expect(response.json()).toMatchObject({ status: 400, code: 'invalid-request', errors: [{ pointer: '/dueAt' }] })
    },
  )
})
