import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Course, CourseList, Member, MemberList, ProblemDetails } from '../../../server/contract/index.ts'
import { makeJoinCode, readJoinCode } from '../../../server/courses/join-code.ts'
import { openHouse, type House, type Visitor } from '../harness.ts'

let house: House
let instructor: Visitor
let course: Course
beforeAll(async () => {
  house = await openHouse()
  instructor = await house.person('ines', { mayCreateCourses: true, displayName: 'Ines' })
  course = await instructor.take('POST', '/api/courses', { title: 'Depot', timeZone: 'Europe/Berlin' })
})
afterAll(() => house.close())

describe('a join code', () => {
  test('has no letters and digits that look alike', () => {
    const codes = Array.from({ length: 500 }, makeJoinCode)
    for (const code of codes) expect(code).toMatch(/^[ACDEFGHJKMNPQRTWXY34679]{4}-[ACDEFGHJKMNPQRTWXY34679]{4}$/)
    expect(new Set(codes).size).toBe(500)
  })

  test.each(['kxq4-7tmd', 'KXQ47TMD', ' kxq4 7tmd '])('is read from %j', (typed) => {
    expect(readJoinCode(typed)).toBe('KXQ4-7TMD')
  })

  test('lets in as a student, once', async () => {
    const student = await house.person('sol')
    const joined = await student.take<Course>('POST', '/api/courses/join', { code: course.joinCode })
    expect(joined).toMatchObject({ id: course.id, role: 'student', joinCode: null, members: null })
    const again = await student.post('/api/courses/join', { code: course.joinCode })
    expect(again.json<ProblemDetails>().code).toBe('already-a-member')
  })

  test('ends when it is renewed, and is not taken while the course takes nobody', async () => {
    const own = await instructor.take<Course>('POST', '/api/courses', { title: 'Two', timeZone: 'UTC' })
    const { joinCode } = await instructor.take<{ joinCode: string }>('POST', `/api/courses/${own.id}/join-code`)
    const student = await house.person('suri')
    const old = await student.post('/api/courses/join', { code: own.joinCode })
    expect(old.json<ProblemDetails>().code).toBe('join-code-unknown')
    await instructor.take('PATCH', `/api/courses/${own.id}`, { isJoinable: false })
    const closed = await student.post('/api/courses/join', { code: joinCode })
    expect(closed.json<ProblemDetails>().code).toBe('join-code-unknown')
    await instructor.take('PATCH', `/api/courses/${own.id}`, { isJoinable: true })
    await student.take('POST', '/api/courses/join', { code: joinCode })
  })
})

describe('a course', () => {
  test('begins with its creator as instructor', () => {
    expect(course).toMatchObject({ role: 'instructor', members: { instructors: 1, assistants: 0, students: 0 } })
  })

  test.each(['Mars/Olympus', '+02:00', 'Berlin'])('takes no time zone %s', async (timeZone) => {
    const response = await instructor.post('/api/courses', { title: 'X', timeZone })
    expect(response.json<ProblemDetails>().code).toBe('time-zone-unknown')
  })

  test('is changed in the fields that were sent, and in no others', async () => {
    const changed = await instructor.take<Course>('PATCH', `/api/courses/${course.id}`, { timeZone: 'America/Bogota' })
    expect(changed).toMatchObject({ title: 'Depot', timeZone: 'America/Bogota' })
    const wrong = await instructor.request('PATCH', `/api/courses/${course.id}`, { joinCode: 'AAAA-AAAA' })
    expect(wrong.json<ProblemDetails>().code).toBe('invalid-request')
    expect((await instructor.request('PATCH', `/api/courses/${course.id}`, {})).statusCode).toBe(400)
  })

  test('is listed for its members, with the next due time', async () => {
    const outsider = await house.person('omar')
    expect((await outsider.take<CourseList>('GET', '/api/courses')).courses).toEqual([])
    const { courses } = await instructor.take<CourseList>('GET', '/api/courses')
    expect(courses[0]).toMatchObject({ id: course.id, role: 'instructor', exercises: 0, nextDueAt: null })
  })
})

describe('members', () => {
  test('get another role from an instructor', async () => {
    const helper = await house.person('hale')
    await house.enrol(helper, course.id, 'student')
    const path = `/api/courses/${course.id}/members/${helper.id}`
    expect(await instructor.take<Member>('PATCH', path, { role: 'assistant' })).toMatchObject({ role: 'assistant' })
    const { members } = await helper.take<MemberList>('GET', `/api/courses/${course.id}/members`)
    expect(members.map((member) => member.role)).toContain('instructor')
    const [event] = await house.database.prisma.auditEvent.findMany({ where: { action: 'role-changed' } })
    expect(event).toMatchObject({
      actorId: instructor.id,
      objectId: helper.id,
      detail: { from: 'student', to: 'assistant' },
    })
  })

  test('always count an instructor among them', async () => {
    const response = await instructor.request('PATCH', `/api/courses/${course.id}/members/${instructor.id}`, {
      role: 'student',
    })
    expect(response.json<ProblemDetails>().code).toBe('last-instructor')
  })

  test('leave by themselves and come back by the code, their hand-ins stay', async () => {
    const leaver = await house.person('lars')
    await house.enrol(leaver, course.id, 'student')
    expect((await leaver.request('DELETE', `/api/courses/${course.id}/membership`)).statusCode).toBe(204)
    expect((await leaver.get(`/api/courses/${course.id}`)).statusCode).toBe(404)
    const list = await instructor.take<MemberList>('GET', `/api/courses/${course.id}/members`)
    expect(list.members.map(({ userName }) => userName)).not.toContain('lars')
    expect(list.former).toMatchObject([{ userName: 'lars', role: 'student', isTakenOut: false, handIns: 0 }])
    await leaver.take('POST', '/api/courses/join', { code: course.joinCode })
    expect((await instructor.take<MemberList>('GET', `/api/courses/${course.id}/members`)).former).toEqual([])
  })

  test('whom an instructor has taken out come back through an instructor only, in their role', async () => {
    const helper = await house.person('hugo')
    await house.enrol(helper, course.id, 'assistant')
    const path = `/api/courses/${course.id}/members/${helper.id}`
    expect((await instructor.request('DELETE', path)).statusCode).toBe(204)
    expect((await instructor.request('DELETE', path)).statusCode).toBe(404)
    expect((await helper.get(`/api/courses/${course.id}/review`)).statusCode).toBe(404)
    const refused = await helper.post('/api/courses/join', { code: course.joinCode })
    expect(refused.json<ProblemDetails>().code).toBe('taken-out-of-course')
    expect(await instructor.take<Member>('PUT', path)).toMatchObject({ role: 'assistant' })
    expect((await helper.get(`/api/courses/${course.id}/review`)).statusCode).toBe(200)
    const actions = await house.database.prisma.auditEvent.findMany({
      where: { objectId: helper.id, courseId: course.id },
      orderBy: { id: 'asc' },
    })
    expect(actions.map(({ action }) => action)).toEqual(['taken-out', 'brought-back'])
  })

  test('the last instructor cannot leave', async () => {
    const response = await instructor.request('DELETE', `/api/courses/${course.id}/membership`)
    expect(response.json<ProblemDetails>().code).toBe('last-instructor')
  })

  test('who are none cannot be changed', async () => {
    const response = await instructor.request('PATCH', `/api/courses/${course.id}/members/nobody`, { role: 'student' })
    expect(response.statusCode).toBe(404)
  })
})
