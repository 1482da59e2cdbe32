import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type {
  ExerciseList,
  ExerciseSummary,
  ExtensionList,
  Marks,
  ProblemDetails,
  Submission,
} from '../../../server/contract/index.ts'
import { inThread, openHouse, type House, type Visitor } from '../harness.ts'
import { openClass, rightProgram, type Class } from '../sample.ts'

let house: House
let group: Class
let url: string
beforeAll(async () => {
  house = await openHouse({ pool: inThread })
  group = await openClass(house)
  url = `/api/exercises/${group.exercise.id}`
})
afterAll(() => house.close())

const hour = 3_600_000
const fromNow = (hours: number): string => new Date(Date.now() + hours * hour).toISOString()
const handIn = (who: Visitor, body: object = rightProgram) =>
  who.post(`${url}/submissions`, body, { prefer: 'wait=60' })
const codeOf = (response: { json<T>(): T }): string => response.json<ProblemDetails>().code

describe('more time', () => {
  test('lets one student hand in on time after everybody else is too late, until it is taken back', async () => {
    await group.instructor.take('PATCH', url, { dueAt: fromNow(-3), closesAt: fromNow(-2) })
    expect(codeOf(await handIn(group.student))).toBe('exercise-closed')
    const more = { dueAt: fromNow(1), closesAt: fromNow(2), reason: 'Was ill on Monday.' }
    const place = `${url}/extensions/${group.student.id}`
    const { extensions } = await group.instructor.take<ExtensionList>('PUT', place, more)
    expect(extensions).toMatchObject([{ student: { id: group.student.id }, ...more, by: { id: group.instructor.id } }])

    const seen = await group.student.take<ExerciseSummary>('GET', url)
    expect(seen).toMatchObject({ state: 'open', isExtended: true, dueAt: more.dueAt, closesAt: more.closesAt })
    expect(JSON.stringify(seen)).not.toContain('ill on Monday')
    const { exercises } = await group.otherStudent.take<ExerciseList>(
      'GET',
      `/api/courses/${group.course.id}/exercises`,
    )
    expect(exercises[0]).toMatchObject({ state: 'closed', isExtended: false })

    const taken = await handIn(group.student)
    expect(taken.json<Submission>().receipt.isLate).toBe(false)
    expect(codeOf(await handIn(group.otherStudent))).toBe('exercise-closed')
    const marks = await group.instructor.take<Marks>('GET', `/api/courses/${group.course.id}/marks`)
    expect(marks.rows.find(({ student }) => student.id === group.student.id)).toMatchObject({
      scores: [100],
      late: [false],
    })

    await group.instructor.take('DELETE', place)
    expect(codeOf(await handIn(group.student))).toBe('exercise-closed')
    const events = await house.database.prisma.auditEvent.findMany({
      where: { objectId: group.exercise.id, action: { in: ['extended', 'extension-taken-back'] } },
      orderBy: { id: 'asc' },
    })
    expect(events.map(({ action, detail }) => [action, (detail as { userId: string }).userId])).toEqual([
      ['extended', group.student.id],
      ['extension-taken-back', group.student.id],
    ])
  })

  test('is late between its own due time and its own end', async () => {
    await group.instructor.take('PATCH', url, { dueAt: fromNow(-3), closesAt: fromNow(-2) })
    const more = { dueAt: fromNow(-1), closesAt: fromNow(1), reason: '' }
    await group.instructor.take('PUT', `${url}/extensions/${group.otherStudent.id}`, more)
    expect((await group.otherStudent.take<ExerciseSummary>('GET', url)).state).toBe('late-window')
    expect((await handIn(group.otherStudent)).json<Submission>().receipt.isLate).toBe(true)
  })

  test.each([
    ['ends no later than the exercise', { dueAt: fromNow(-4), closesAt: fromNow(-2) }],
    ['ends before it is due', { dueAt: fromNow(3), closesAt: fromNow(2) }],
  ])('that %s is refused', async (_what, times) => {
    await group.instructor.take('PATCH', url, { dueAt: fromNow(-3), closesAt: fromNow(-2) })
    const put = await group.instructor.request('PUT', `${url}/extensions/${group.student.id}`, { ...times, reason: '' })
    expect(codeOf(put)).toBe('times-out-of-order')
  })

  test('is for students of the course', async () => {
    for (const who of [group.assistant, group.outsider]) {
      const body = { dueAt: fromNow(5), closesAt: null, reason: '' }
      expect((await group.instructor.request('PUT', `${url}/extensions/${who.id}`, body)).statusCode).toBe(404)
    }
  })
})

describe('a bound of tries', () => {
  test('counts what could be read, for each student, and not for staff; more can be allowed', async () => {
    await group.instructor.take('PATCH', url, { dueAt: null, closesAt: null, mostTries: 2 })
    const newcomer = await house.person('nils')
    await house.enrol(newcomer, group.course.id, 'student')
    const statuses = []
    for (const body of [rightProgram, { format: 'hex', text: 'no hex at all' }, rightProgram, rightProgram])
      statuses.push((await handIn(newcomer, body)).statusCode)
    expect(statuses).toEqual([201, 201, 201, 403])
    expect(codeOf(await handIn(newcomer))).toBe('tries-used-up')
    for (let i = 0; i < 3; i += 1) expect((await handIn(group.assistant)).statusCode).toBe(201)
    await group.instructor.take('PATCH', url, { mostTries: 3 })
    expect((await handIn(newcomer)).statusCode).toBe(201)
    await group.instructor.take('PATCH', url, { mostTries: null })
  })

  test('sent again with its key is the same try', async () => {
    await group.instructor.take('PATCH', url, { mostTries: 1 })
    const newcomer = await house.person('nora')
    await house.enrol(newcomer, group.course.id, 'student')
    const send = () => newcomer.post(`${url}/submissions`, rightProgram, { prefer: 'wait=60', 'idempotency-key': 'k1' })
    const [first, second] = [await send(), await send()]
    expect([first.statusCode, second.statusCode]).toEqual([201, 201])
    expect(second.json<Submission>().id).toBe(first.json<Submission>().id)
    await group.instructor.take('PATCH', url, { mostTries: null })
  })

  test('of two sent at once lets one through', async () => {
    await group.instructor.take('PATCH', url, { mostTries: 1 })
    const newcomer = await house.person('nika')
    await house.enrol(newcomer, group.course.id, 'student')
    const both = await Promise.all([handIn(newcomer), handIn(newcomer)])
    expect(both.map(({ statusCode }) => statusCode).toSorted()).toEqual([201, 403])
    await group.instructor.take('PATCH', url, { mostTries: null })
  })
})

test('a pause between tries is kept and told', async () => {
  await group.instructor.take('PATCH', url, { pauseSeconds: 600 })
  const newcomer = await house.person('nele')
  await house.enrol(newcomer, group.course.id, 'student')
  expect((await handIn(newcomer)).statusCode).toBe(201)
  const refused = await handIn(newcomer)
  expect(codeOf(refused)).toBe('too-soon')
  expect(Number(refused.headers['retry-after'])).toBeGreaterThan(500)
  await house.database.prisma.submission.updateMany({
    where: { studentId: newcomer.id },
    data: { receivedAt: new Date(Date.now() - 601_000) },
  })
  expect((await handIn(newcomer)).statusCode).toBe(201)
  await group.instructor.take('PATCH', url, { pauseSeconds: null })
})
