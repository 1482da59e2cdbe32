import { createHash } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Exercise, ProblemDetails, Submission, SubmissionPage, Trace } from '../../../server/contract/index.ts'
import { inThread, openHouse, type House } from '../harness.ts'
import { openClass, rightProgram, sumYaml, wrongProgram, type Class } from '../sample.ts'

let house: House
let group: Class
let url = ''
beforeAll(async () => {
  house = await openHouse({ pool: inThread })
  group = await openClass(house)
  url = `/api/exercises/${group.exercise.id}/submissions`
})
afterAll(() => house.close())

const waiting = { prefer: 'wait=20' }

async function exerciseWith(times: Record<string, unknown>): Promise<Exercise> {
  const source = sumYaml.replace('id: sum', `id: sum-${Math.random().toString(36).slice(2, 8)}`)
  return group.instructor.take('POST', `/api/courses/${group.course.id}/exercises`, {
    source,
    isPublished: true,
    ...times,
  })
}

const inHours = (hours: number): string => new Date(Date.now() + hours * 3_600_000).toISOString()

describe('a hand-in', () => {
  test('is answered with its report when the client waits', async () => {
    const response = await group.student.post(url, rightProgram, waiting)
    expect([response.statusCode, response.headers['preference-applied']]).toEqual([201, 'wait=20'])
    const submission = response.json<Submission>()
    expect(submission).toMatchObject({ state: 'graded', score: 100, isFullMarks: true })
    expect(submission.report?.status).toBe('graded')
    expect(response.headers['location']).toBe(`/api/submissions/${submission.id}`)
  })

  test('is answered at once when the client does not wait', async () => {
    const response = await group.student.post(url, rightProgram)
    expect([response.statusCode, response.headers['preference-applied']]).toEqual([202, undefined])
    expect(response.json<Submission>()).toMatchObject({ report: null })
  })

  test('gives a receipt: number, time of the server, digest of the text', async () => {
    const before = Date.now()
    const { receipt } = await group.otherStudent.take<Submission>('POST', url, rightProgram)
    expect(receipt).toMatchObject({ number: 1, isLate: false })
    expect(receipt.digest).toBe(createHash('sha256').update(rightProgram.text).digest('hex'))
    expect(Date.parse(receipt.receivedAt)).toBeGreaterThanOrEqual(before)
    expect((await group.otherStudent.take<Submission>('POST', url, wrongProgram)).receipt.number).toBe(2)
  })

  test('that is no program is graded as unreadable, with the place of the mistake', async () => {
    const text = '3E 05\n0'
    const submission = await group.student.take<Submission>('POST', url, { format: 'hex', text }, waiting)
    expect(submission).toMatchObject({ state: 'unreadable', score: 0 })
    expect(submission.report?.problems[0]?.at.line).toBe(2)
  })

  test('sent twice under one key is accepted once', async () => {
    const key = { 'idempotency-key': 'click-1' }
    const [first, second] = await Promise.all([
      group.student.take<Submission>('POST', url, rightProgram, key),
      group.student.take<Submission>('POST', url, rightProgram, key),
    ])
    const third = await group.student.take<Submission>('POST', url, rightProgram, { ...key, ...waiting })
    expect(new Set([first?.id, second?.id, third.id]).size).toBe(1)
    const other = await group.student.post(url, wrongProgram, key)
    expect(other.json<ProblemDetails>()).toMatchObject({ status: 422, code: 'idempotency-key-reused' })
    const elses = await group.otherStudent.take<Submission>('POST', url, rightProgram, key)
    expect(elses.id).not.toBe(first?.id)
  })

  test('among fifty at the same time gets a number of its own', async () => {
    const exercise = await exerciseWith({})
    const path = `/api/exercises/${exercise.id}/submissions`
    const all = await Promise.all(
      Array.from({ length: 50 }, () => group.student.take<Submission>('POST', path, rightProgram)),
    )
    const numbers = all.map((each) => each.receipt.number).toSorted((a, b) => a - b)
    expect(numbers).toEqual(Array.from({ length: 50 }, (_, i) => i + 1))
  })
})

describe('a hand-in is refused, and not counted,', () => {
  test.each([
    ['when it is empty', { format: 'hex', text: '' }, 422, 'hand-in-empty'],
    ['when it is white space', { format: 'hex', text: ' \n\t ' }, 422, 'hand-in-empty'],
    ['when it is a binary file', { format: 'hex', text: '3E\0\x05' }, 422, 'hand-in-not-text'],
    ['when it is over 64 KB', { format: 'hex', text: '00 '.repeat(22_000) }, 413, 'hand-in-too-large'],
    ['when it is 5 MB', { format: 'hex', text: '00 '.repeat(1_747_627) }, 413, 'hand-in-too-large'],
    ['when it is 9 MB', { format: 'hex', text: '00 '.repeat(3_145_728) }, 413, 'hand-in-too-large'],
    ['in a form nobody knows', { format: 'punched-tape', text: '3E' }, 400, 'invalid-request'],
    ['with a field nobody knows', { format: 'hex', text: '3E', score: 100 }, 400, 'invalid-request'],
    ['when its text is a number', { format: 'hex', text: 76 }, 400, 'invalid-request'],
  ])('%s', async (_what, body, status, code) => {
    const count = await house.database.prisma.submission.count()
    const response = await group.student.post(url, body)
    expect(response.json<ProblemDetails>()).toMatchObject({ status, code })
    expect(await house.database.prisma.submission.count()).toBe(count)
  })

  test('when its size is exactly 64 KB it is taken', async () => {
    const text = `;${'x'.repeat(65_535)}`
    expect((await group.student.post(url, { format: 'assembly', text })).statusCode).toBe(202)
  })

  test('in a form that this exercise does not take', async () => {
    const source = sumYaml.replace('id: sum', 'id: sum-hex').replace('budget:', 'accepts: [hex]\nbudget:')
    const exercise = await group.instructor.take<Exercise>('POST', `/api/courses/${group.course.id}/exercises`, {
      source,
      isPublished: true,
    })
    const response = await group.student.post(`/api/exercises/${exercise.id}/submissions`, {
      format: 'assembly',
      text: ' HALT\n',
    })
    expect(response.json<ProblemDetails>()).toMatchObject({
      code: 'format-not-taken',
      detail: "Found 'assembly', allowed hex.",
    })
  })

  test.each(['', 'two words', 'x'.repeat(201)])('with the key %j', async (key) => {
    const response = await group.student.post(url, rightProgram, { 'idempotency-key': key })
    expect(response.json<ProblemDetails>().code).toBe('idempotency-key-invalid')
  })
})

describe('the times of an exercise', () => {
  test('before it opens a student neither sees it nor hands in', async () => {
    const exercise = await exerciseWith({ opensAt: inHours(1) })
    const seen = await group.student.get(`/api/exercises/${exercise.id}`)
    const sent = await group.student.post(`/api/exercises/${exercise.id}/submissions`, rightProgram)
    expect([seen, sent].map((each) => each.json<ProblemDetails>().code)).toEqual([
      'exercise-not-open',
      'exercise-not-open',
    ])
  })

  test('after it is due a hand-in is late', async () => {
    const exercise = await exerciseWith({ dueAt: inHours(-1), closesAt: inHours(1) })
    const submission = await group.student.take<Submission>(
      'POST',
      `/api/exercises/${exercise.id}/submissions`,
      rightProgram,
    )
    expect(submission.receipt.isLate).toBe(true)
  })

  test('after it closed nothing is taken, but staff may still try it', async () => {
    const exercise = await exerciseWith({ dueAt: inHours(-2), closesAt: inHours(-1) })
    const path = `/api/exercises/${exercise.id}/submissions`
    expect((await group.student.post(path, rightProgram)).json<ProblemDetails>().code).toBe('exercise-closed')
    expect((await group.assistant.post(path, rightProgram)).statusCode).toBe(202)
  })

  test('a draft is not there for students', async () => {
    const exercise = await exerciseWith({ isPublished: false })
    expect((await group.student.post(`/api/exercises/${exercise.id}/submissions`, rightProgram)).statusCode).toBe(404)
  })
})

describe('the list of submissions', () => {
  test('comes in pages, newest first, nothing twice and nothing missing', async () => {
    const exercise = await exerciseWith({})
    const path = `/api/exercises/${exercise.id}/submissions`
    for (let i = 0; i < 7; i += 1) await group.student.take('POST', path, rightProgram)
    const numbers: number[] = []
    let after: string | null = null
    do {
      const query: string = after === null ? '?limit=3' : `?limit=3&after=${after}`
      const page: SubmissionPage = await group.student.take('GET', path + query)
      numbers.push(...page.items.map((item) => item.receipt.number))
      after = page.next
    } while (after !== null)
    expect(numbers).toEqual([7, 6, 5, 4, 3, 2, 1])
  })

  test('holds a student’s own only, whatever is asked for', async () => {
    await group.student.take('POST', url, rightProgram)
    const query = `?studentId=${group.student.id}`
    const page = await group.otherStudent.take<SubmissionPage>('GET', url + query)
    expect(new Set(page.items.map((item) => item.student.displayName))).toEqual(new Set(['Olu Mensah']))
    const forStaff = await group.assistant.take<SubmissionPage>('GET', url + query)
    expect(new Set(forStaff.items.map((item) => item.student.displayName))).toEqual(new Set(['Sam Tran']))
  })

  test.each(['?limit=0', '?limit=1000', '?after=-1', '?after=x', '?colour=red'])('refuses %s', async (query) => {
    expect((await group.student.get(url + query)).json<ProblemDetails>().code).toBe('invalid-request')
  })
})

describe('the trace of a submission', () => {
  test('is all that core needs to run it again', async () => {
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    const trace = await group.student.take<Trace>('GET', `/api/submissions/${id}/trace`)
    expect(trace.program).toEqual(wrongProgram)
    expect(trace.board.id).toBe('bench-8')
    expect(trace.cases.map((each) => each.id)).toEqual(['plain'])
    expect(trace.exercise.format).toBe('hexcairn-exercise-view/1')
    expect(trace.report?.firstWrong?.caseId).toBe('plain')
  })

  test('shows staff the hidden cases too', async () => {
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    const trace = await group.assistant.take<Trace>('GET', `/api/submissions/${id}/trace`)
    expect(trace.cases.map((each) => [each.id, each.isVisible])).toEqual([
      ['plain', true],
      ['secretcase', false],
    ])
    expect(trace.exercise.format).toBe('hexcairn-exercise/1')
  })

  test('has the same seed for all hand-ins of a student, and another for somebody else', async () => {
    const seedOf = async (who: 'student' | 'otherStudent'): Promise<number> => {
      const { id } = await group[who].take<Submission>('POST', url, rightProgram)
      return (await group[who].take<Trace>('GET', `/api/submissions/${id}/trace`)).seed
    }
    const seeds = [await seedOf('student'), await seedOf('student'), await seedOf('otherStudent')]
    expect(seeds[0]).toBe(seeds[1])
    expect(seeds[0]).not.toBe(seeds[2])
  })
})

test('no answer to a student holds anything of a hidden case or check', async () => {
  const { id } = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
  await group.assistant.take('POST', `/api/submissions/${id}/notes`, { text: 'Look.', caseId: 'secretcase', step: 2 })
  const { course, exercise } = group
  const paths = [
    ...['', '/exercises', '/marks'].map((end) => `/api/courses/${course.id}${end}`),
    ...['', '/submissions'].map((end) => `/api/exercises/${exercise.id}${end}`),
    ...['', '/trace', '/notes'].map((end) => `/api/submissions/${id}${end}`),
    '/api/courses',
    '/api/session',
  ]
  const forStaff: string[] = []
  for (const path of paths) {
    const { statusCode, body } = await group.student.get(path)
    expect([path, statusCode]).toEqual([path, 200])
    expect([path, body.match(/secretcase|[Ss]ealed|CDh|ADD A,\(HL\)/)?.[0]]).toEqual([path, undefined])
    forStaff.push((await group.assistant.get(path)).body)
  }
  // The words looked for are the right ones: staff do get them.
  expect(forStaff.join('')).toMatch(/secretcase[^]*Sealed|Sealed[^]*secretcase/)
})
