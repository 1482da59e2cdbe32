import type { LightMyRequestResponse, RouteOptions } from 'fastify'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Course, Exercise, Note, ProblemDetails, SavedAnswer, Submission } from '../../server/contract/index.ts'
import { inThread, openHouse, type House, type Visitor } from './harness.ts'
import { openClass, rightProgram, sumYaml, type Class } from './sample.ts'

type Ids = Readonly<Record<string, string>>

const routes: RouteOptions[] = []
let house: House
let group: Class
/** Of the class; of another course, of whose being nobody in the class may learn. */
let own: Ids
let foreign: Ids
let draftId = ''
let othersWorkId = ''

async function idsOf(course: Course, exercise: Exercise, student: Visitor, staff: Visitor): Promise<Ids> {
  const handIn = `/api/exercises/${exercise.id}/submissions`
  const submission = await student.take<Submission>('POST', handIn, rightProgram, { prefer: 'wait=30' })
  const note = await staff.take<Note>('POST', `/api/submissions/${submission.id}/notes`, {
    text: 'x',
    isReleased: true,
  })
  const answer = await staff.take<SavedAnswer>('POST', `/api/courses/${course.id}/saved-answers`, { text: 'x' })
  const ids = { courseId: course.id, exerciseId: exercise.id, submissionId: submission.id, userId: student.id }
  return { ...ids, noteId: note.id, answerId: answer.id, boardId: 'bench-8', questionId: 'why', rung: '1' }
}

beforeAll(async () => {
  house = await openHouse({ pool: inThread, onRoute: (route) => routes.push(route) })
  group = await openClass(house)
  own = await idsOf(group.course, group.exercise, group.student, group.assistant)
  const course = await group.outsider.take<Course>('POST', '/api/courses', { title: 'Sidings', timeZone: 'UTC' })
  const guest = await house.person('gus')
  await house.enrol(guest, course.id, 'student')
  const url = `/api/courses/${course.id}/exercises`
  const exercise = await group.outsider.take<Exercise>('POST', url, { source: sumYaml, isPublished: true })
  foreign = await idsOf(course, exercise, guest, group.outsider)
  const draft = { source: sumYaml.replace('id: sum', 'id: draft') }
  draftId = (await group.instructor.take<Exercise>('POST', `/api/courses/${group.course.id}/exercises`, draft)).id
  const handIn = `/api/exercises/${group.exercise.id}/submissions`
  othersWorkId = (await group.otherStudent.take<Submission>('POST', handIn, rightProgram)).id
})
afterAll(() => house.close())

const bodies: Record<string, unknown> = {
  'POST /api/courses/:courseId/exercises': { source: sumYaml.replace('id: sum', 'id: sum3') },
  'PUT /api/exercises/:exerciseId': { source: sumYaml, revision: 1 },
  'POST /api/exercises/:exerciseId/submissions': { format: 'hex', text: '' },
  'PUT /api/submissions/:submissionId/review': { state: 'open' },
}

/** All that can be told apart, but for the number of the request and the time. */
function told({ statusCode, headers, body }: LightMyRequestResponse): unknown {
  const { instance: _instance, ...problem } = JSON.parse(body || '{}') as ProblemDetails
  const fixed = Object.entries(headers).filter(([name]) => !/^(date|x-ratelimit|set-cookie)/.test(name))
  return { statusCode, headers: Object.fromEntries(fixed), problem }
}

/** Every route that has this parameter, with one id in its place and the class's own in the others. */
async function answers(visitor: Visitor, parameter: string, id: string): Promise<Record<string, unknown>> {
  const found: Record<string, unknown> = {}
  for (const { method, url } of routes)
    for (const each of [method].flat()) {
      if (each === 'HEAD' || each === 'OPTIONS' || !url.split('/').includes(`:${parameter}`)) continue
      const path = url.replace(/:(\w+)/g, (_, name: string) => (name === parameter ? id : (own[name] ?? name)))
      found[`${each} ${url}`] = told(await visitor.request(each, path, bodies[`${each} ${url}`]))
    }
  return found
}

const invented = 'cm0000000000000000000000x'
const parameters = ['courseId', 'exerciseId', 'submissionId', 'userId', 'noteId', 'answerId'] as const

describe.each(['student', 'assistant', 'instructor'] as const)('to the %s', (role) => {
  test.each(parameters)('every route answers a %s of another course as one that does not exist', async (parameter) => {
    const there = await answers(group[role], parameter, foreign[parameter] ?? '')
    expect(Object.keys(there).length).toBeGreaterThan(0)
    expect(there).toEqual(await answers(group[role], parameter, invented))
  })
})

test('to a student a draft is answered as an exercise that does not exist, whatever is asked of it', async () => {
  expect(await answers(group.student, 'exerciseId', draftId)).toEqual(
    await answers(group.student, 'exerciseId', invented),
  )
})

test('to a student another’s work is answered as a submission that does not exist', async () => {
  expect(await answers(group.student, 'submissionId', othersWorkId)).toEqual(
    await answers(group.student, 'submissionId', invented),
  )
})

test('no list tells a student of a draft', async () => {
  const { courseId } = own
  for (const url of ['/api/courses', `/api/courses/${courseId}`, `/api/courses/${courseId}/exercises`, '/api/session'])
    expect((await group.student.get(url)).body).not.toContain(draftId)
  expect((await group.student.get(`/api/courses/${courseId}/marks`)).body).not.toContain(draftId)
  expect((await group.student.get('/api/courses')).json()).toMatchObject({ courses: [{ exercises: 1 }] })
})
