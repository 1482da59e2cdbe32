import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import type { Exercise, ServerMessage, Submission } from '../../../server/contract/index.ts'
import { deferred, inThread, openHouse, type House, type Visitor } from '../harness.ts'
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

type Socket = Awaited<ReturnType<House['app']['injectWS']>>

class Line {
  readonly received: ServerMessage[] = []
  closedWith: number | null = null
  readonly #socket: Socket

  constructor(socket: Socket) {
    this.#socket = socket
  }

  static async open(visitor: Visitor, headers: Record<string, string> = {}): Promise<Line> {
    let line: Line | null = null
    const hello = deferred()
    await house.app.injectWS(
      '/api/live',
      { headers: { ...visitor.headers, ...headers } },
      {
        onInit: (socket) => {
          const opened = new Line(socket as Socket)
          line = opened
          lines.push(opened)
          socket.on('message', (data: Buffer) => {
            opened.received.push(JSON.parse(String(data)) as ServerMessage)
            hello.resolve()
          })
          socket.on('close', (code: number) => {
            opened.closedWith = code
          })
        },
      },
    )
    await hello.promise
    if (line === null) throw new Error('no socket')
    return line
  }

  send(message: unknown): void {
    this.#socket.send(typeof message === 'string' ? message : JSON.stringify(message))
  }

  async next<K extends ServerMessage['kind']>(kind: K): Promise<Extract<ServerMessage, { kind: K }>> {
    for (let i = 0; i < 1000; i += 1) {
      const at = this.received.findIndex((message) => message.kind === kind)
      const found = at === -1 ? undefined : this.received.splice(at, 1)[0]
      if (found !== undefined) return found as Extract<ServerMessage, { kind: K }>
      await new Promise((resolve) => setTimeout(resolve, 10))
    }
    throw new Error(`no ${kind}; received ${this.received.map((message) => message.kind).join(', ')}`)
  }

  close(): void {
    this.#socket.terminate()
  }
}

const lines: Line[] = []
afterEach(() => {
  for (const line of lines.splice(0)) line.close()
})

/** Waits until news that were sent before have been told, by news of another kind that come after them. */
async function settled(line: Line): Promise<void> {
  await group.instructor.take('PATCH', `/api/exercises/${group.exercise.id}`, { isPublished: true })
  await line.next('exercise-changed')
}

describe('the live line', () => {
  test('greets with the time of the server', async () => {
    const line = new Line(await house.app.injectWS('/api/live', { headers: group.student.headers }))
    lines.push(line)
    const greeted = await Line.open(group.student)
    expect(greeted.received[0]).toMatchObject({ kind: 'hello', now: expect.stringMatching(/^\d{4}-.*Z$/) })
  })

  test('is for people who are signed in', async () => {
    await expect(house.app.injectWS('/api/live')).rejects.toThrow('401')
  })

  test.each([[{ origin: 'https://elsewhere.example' }], [{ 'sec-fetch-site': 'cross-site' }], [{ origin: 'null' }]])(
    'is refused to a page of another site: %j',
    async (headers) => {
      const all = { ...group.student.headers, ...headers }
      await expect(house.app.injectWS('/api/live', { headers: all })).rejects.toThrow('403')
    },
  )

  test('tells staff how a submission goes from hand-in to grade', async () => {
    const line = await Line.open(group.instructor)
    line.send({ kind: 'watch', courseId: group.course.id })
    await line.next('watching')
    const { id } = await group.student.take<Submission>('POST', url, rightProgram)
    const received = await line.next('submission-received')
    expect(received.submission).toMatchObject({ id, student: { displayName: 'Sam Tran' } })
    expect(await line.next('submission-running')).toMatchObject({ submissionId: id })
    expect((await line.next('submission-graded')).submission).toMatchObject({ id, state: 'graded', score: 100 })
  })

  test('tells a student of own work, and of changed exercises', async () => {
    const line = await Line.open(group.otherStudent)
    line.send({ kind: 'watch', courseId: group.course.id })
    await line.next('watching')
    await group.student.take('POST', url, rightProgram, { prefer: 'wait=20' })
    const own = await group.otherStudent.take<Submission>('POST', url, wrongProgram, { prefer: 'wait=20' })
    expect((await line.next('submission-graded')).submission.id).toBe(own.id)
    await settled(line)
    const ids = line.received.flatMap((message) => ('submission' in message ? [message.submission.id] : []))
    expect(new Set(ids)).toEqual(new Set([own.id]))
  })

  test('answers the state as it stands when a submission is watched, and its end', async () => {
    const { id } = await group.student.take<Submission>('POST', url, rightProgram, { prefer: 'wait=20' })
    const line = await Line.open(group.student)
    line.send({ kind: 'watch-submission', submissionId: id })
    expect((await line.next('watching-submission')).submission).toMatchObject({ id, state: 'graded' })
    await group.assistant.take('PUT', `/api/submissions/${id}/review`, { state: 'held' })
    expect(await line.next('review-changed')).toMatchObject({ submissionId: id, state: 'held' })
  })

  test('brings a note with its step to staff, and without it to a student when the case is hidden', async () => {
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram, { prefer: 'wait=20' })
    const forStaff = await Line.open(group.instructor)
    forStaff.send({ kind: 'watch', courseId: group.course.id })
    await forStaff.next('watching')
    const forStudent = await Line.open(group.student)
    forStudent.send({ kind: 'watch-submission', submissionId: id })
    await forStudent.next('watching-submission')
    const note = { text: 'Here.', caseId: 'secretcase', step: 1, isReleased: true }
    await group.assistant.take('POST', `/api/submissions/${id}/notes`, note)
    expect((await forStaff.next('note-added')).note).toMatchObject(note)
    expect((await forStudent.next('note-added')).note).toMatchObject({ text: 'Here.', caseId: null, step: null })
  })

  test('tells a student nothing of a note that is not released, and then that notes were', async () => {
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram, { prefer: 'wait=20' })
    const forStaff = await Line.open(group.instructor)
    forStaff.send({ kind: 'watch-submission', submissionId: id })
    await forStaff.next('watching-submission')
    const forStudent = await Line.open(group.student)
    forStudent.send({ kind: 'watch-submission', submissionId: id })
    await forStudent.next('watching-submission')
    await group.assistant.take('POST', `/api/submissions/${id}/notes`, { text: 'Not yet.' })
    expect((await forStaff.next('note-added')).note).toMatchObject({ text: 'Not yet.', isReleased: false })
    await group.assistant.take('POST', `/api/submissions/${id}/release`)
    expect(await forStudent.next('notes-released')).toMatchObject({ submissionId: id })
    expect(forStudent.received.map((message) => message.kind)).not.toContain('note-added')
  })

  test.each([
    ['another course', () => ({ kind: 'watch', courseId: 'elsewhere' }), 'not-found'],
    ['something unreadable', () => 'hello?', 'message-unreadable'],
    ['an unknown kind', () => ({ kind: 'shout' }), 'message-unreadable'],
    ['a field too many', () => ({ kind: 'watch', courseId: 'x', role: 'instructor' }), 'message-unreadable'],
  ])('refuses to watch %s', async (_what, message, code) => {
    const line = await Line.open(group.student)
    line.send(message())
    expect(await line.next('refused')).toMatchObject({ code })
  })

  test('refuses another student’s submission', async () => {
    const { id } = await group.student.take<Submission>('POST', url, rightProgram)
    const line = await Line.open(group.otherStudent)
    line.send({ kind: 'watch-submission', submissionId: id })
    expect(await line.next('refused')).toMatchObject({ code: 'not-found' })
  })

  test('falls silent for somebody whose role was taken', async () => {
    const helper = await house.person('hana')
    await house.enrol(helper, group.course.id, 'assistant')
    const line = await Line.open(helper)
    line.send({ kind: 'watch', courseId: group.course.id })
    await line.next('watching')
    const members = `/api/courses/${group.course.id}/members/${helper.id}`
    await group.instructor.take('PATCH', members, { role: 'student' })
    await group.student.take('POST', url, rightProgram, { prefer: 'wait=20' })
    await settled(line)
    expect(line.received.filter((message) => 'submission' in message)).toEqual([])
  })

  test('ends with the session', async () => {
    const guest = await house.person('gus')
    const line = await Line.open(guest)
    await guest.request('DELETE', '/api/session')
    await expect.poll(() => line.closedWith, { timeout: 10_000 }).toBe(4001)
  })

  test.each([
    ['was not used for an hour', { seenAt: new Date(Date.now() - 3_601_000) }],
    ['is twelve hours old', { createdAt: new Date(Date.now() - 12 * 3_600_000 - 1000) }],
  ])('ends when the session %s', async (_what, data) => {
    const guest = await house.person(`guest${Object.keys(data).join('')}`)
    const line = await Line.open(guest)
    const bystander = await Line.open(group.student)
    await house.database.prisma.session.updateMany({ where: { userId: guest.id }, data })
    await expect.poll(() => line.closedWith, { timeout: 20_000 }).toBe(4001)
    expect(bystander.closedWith).toBeNull()
  })

  test('ends when the account is closed', async () => {
    const guest = await house.person('gil')
    const line = await Line.open(guest)
    await house.database.prisma.user.update({ where: { id: guest.id }, data: { isDisabled: true } })
    await expect.poll(() => line.closedWith, { timeout: 20_000 }).toBe(4001)
  })

  const takenOutByInstructor = (userId: string) =>
    group.instructor.request('DELETE', `/api/courses/${group.course.id}/members/${userId}`)
  const removedInTheDatabase = (userId: string) => house.database.prisma.membership.deleteMany({ where: { userId } })

  test.each([
    ['watches the course', () => ({ kind: 'watch', courseId: group.course.id }), 'watching', takenOutByInstructor],
    [
      'watches a submission of it',
      (id: string) => ({ kind: 'watch-submission', submissionId: id }),
      'watching-submission',
      removedInTheDatabase,
    ],
  ] as const)('of somebody who %s ends when they are taken from the course', async (what, message, reply, takeOut) => {
    const guest = await house.person(`guest ${what.length}`)
    await house.enrol(guest, group.course.id, 'student')
    const { id } = await guest.take<Submission>('POST', url, rightProgram)
    const line = await Line.open(guest)
    line.send(message(id))
    await line.next(reply)
    await takeOut(guest.id)
    await expect.poll(() => line.closedWith, { timeout: 20_000 }).toBe(4003)
  })

  test('tells students nothing of a draft, and both when it is published and when it is taken back', async () => {
    const forStudent = await Line.open(group.student)
    const forStaff = await Line.open(group.assistant)
    for (const line of [forStudent, forStaff]) {
      line.send({ kind: 'watch', courseId: group.course.id })
      await line.next('watching')
    }
    const source = sumYaml.replace('id: sum', 'id: draft')
    const draft = await group.instructor.take<Exercise>('POST', `/api/courses/${group.course.id}/exercises`, { source })
    expect(await forStaff.next('exercise-changed')).toMatchObject({ exerciseId: draft.id })
    await settled(forStudent)
    expect(JSON.stringify(forStudent.received)).not.toContain(draft.id)
    for (const isPublished of [true, false]) {
      await group.instructor.take('PATCH', `/api/exercises/${draft.id}`, { isPublished })
      expect(await forStudent.next('exercise-changed')).toMatchObject({ exerciseId: draft.id })
    }
  })

  test('ends when a client talks too much', async () => {
    const line = await Line.open(group.student)
    for (let i = 0; i < 80; i += 1) line.send({ kind: 'unwatch', courseId: 'x' })
    await expect.poll(() => line.closedWith, { timeout: 10_000 }).toBe(1008)
  })
})
