import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { makeSetUpToken } from '../../../server/commands/serve.ts'
import type { Course, ProblemDetails, Session } from '../../../server/contract/index.ts'
import { readSession, sessionTimesForTest } from './session-times.ts'
import { openHouse, password, type House } from '../harness.ts'

let house: House
beforeAll(async () => {
  house = await openHouse()
})
afterAll(() => house.close())

describe('the first account', () => {
  test('needs the token of the set-up link, which works once', async () => {
    const token = await makeSetUpToken(house.database)
    const account = {
      userName: 'first.one',
      displayName: 'First One',
      password: 'a long passphrase',
      setUpToken: token,
    }
    const visitor = house.visitor()
    expect((await visitor.take<Session>('GET', '/api/session')).isSetUpNeeded).toBe(true)
    const refused = await visitor.post('/api/accounts', { ...account, setUpToken: 'guessed' })
    expect(refused.json<ProblemDetails>().code).toBe('set-up-token-unknown')
    const session = await visitor.take<Session>('POST', '/api/accounts', account)
    expect(session.user).toMatchObject({ userName: 'first.one', mayCreateCourses: true })
    const again = await house.visitor().post('/api/accounts', { ...account, userName: 'second.one' })
    expect(again.json<ProblemDetails>().code).toBe('set-up-token-unknown')
  })

  test('there is no further token once an account exists', async () => {
    expect(await makeSetUpToken(house.database)).toBeNull()
  })

  test('a token ends after a day', async () => {
    const empty = await openHouse()
    const dayAgo = new Date(Date.now() - 25 * 3_600_000)
    const setUpToken = await makeSetUpToken(empty.database, dayAgo)
    const account = { userName: 'late.one', displayName: 'Late', password: 'a long passphrase', setUpToken }
    expect((await empty.visitor().post('/api/accounts', account)).statusCode).toBe(403)
    await empty.close()
  })
})

describe('an account by join code', () => {
  let course: Course
  beforeAll(async () => {
    const instructor = await house.person('ida', { mayCreateCourses: true })
    course = await instructor.take('POST', '/api/courses', { title: 'Depot', timeZone: 'UTC' })
  })

  test('is signed in and a student of the course at once', async () => {
    const visitor = house.visitor()
    const joinCode = (course.joinCode ?? '').toLowerCase().replace('-', ' ')
    const account = { userName: 'nova', displayName: 'Nova', password: 'a long passphrase', joinCode }
    const session = await visitor.take<Session>('POST', '/api/accounts', account)
    expect(session.memberships).toEqual([{ courseId: course.id, courseTitle: 'Depot', role: 'student' }])
    expect(session.user?.mayCreateCourses).toBe(false)
  })

  test.each([
    ['a name that is taken, in other letters', { userName: 'NOVA' }, 'user-name-taken'],
    ['a code that no course has', { joinCode: 'AAAA-AAAA' }, 'join-code-unknown'],
    ['a password with the user name in it', { password: 'my-quill-word' }, 'password-too-simple'],
    ['a password of one letter', { password: 'aaaaaaaaaaaa' }, 'password-too-simple'],
    ['a short password', { password: 'short' }, 'invalid-request'],
    ['a name with spaces', { userName: 'two words' }, 'invalid-request'],
    ['code and token together', { setUpToken: 'x' }, 'invalid-request'],
    ['a role of one’s own choice', { role: 'instructor' }, 'invalid-request'],
  ])('is refused with %s', async (_what, change, code) => {
    const account = { userName: 'quill', displayName: 'Q', password: 'a long passphrase', joinCode: course.joinCode }
    const response = await house.visitor().post('/api/accounts', { ...account, ...change })
    expect(response.json<ProblemDetails>().code).toBe(code)
  })
})

describe('a session', () => {
  test('answers the same for an unknown name and a wrong password', async () => {
    await house.person('rhea')
    const wrong = await house.visitor().post('/api/session', { userName: 'rhea', password: 'not it at all' })
    const unknown = await house.visitor().post('/api/session', { userName: 'nobody', password: 'not it at all' })
    const { instance: _a, ...first } = wrong.json<ProblemDetails>()
    const { instance: _b, ...second } = unknown.json<ProblemDetails>()
    expect(first).toEqual(second)
    expect(first.code).toBe('wrong-sign-in')
  })

  test('has a cookie that no script and no other site gets', async () => {
    await house.person('cleo')
    const response = await house.visitor().post('/api/session', { userName: 'cleo', password })
    const cookies = [response.headers['set-cookie']].flat()
    expect(cookies).toContainEqual(expect.stringMatching(/^hexcairn=.*; Path=\/; HttpOnly; SameSite=Lax$/))
    expect(cookies).toHaveLength(2)
    for (const cookie of cookies) expect(cookie).toMatch(/; HttpOnly; SameSite=Lax$/)
  })

  test('gets a new id at sign-in, so that a planted one is worth nothing', async () => {
    const visitor = await house.person('dara')
    const before = visitor.headers['cookie'] ?? ''
    await visitor.signIn('dara')
    expect(visitor.headers['cookie']).not.toBe(before)
    const planted = await house.app.inject({ url: '/api/courses', headers: { cookie: before } })
    expect(planted.statusCode).toBe(401)
  })

  test('ends at sign-out', async () => {
    const visitor = await house.person('egon')
    const { cookie = '' } = visitor.headers
    expect((await visitor.request('DELETE', '/api/session')).statusCode).toBe(204)
    expect((await house.app.inject({ url: '/api/courses', headers: { cookie } })).statusCode).toBe(401)
  })

  test('ends when the account is disabled', async () => {
    const visitor = await house.person('fola')
    await house.database.prisma.user.update({ where: { id: visitor.id }, data: { isDisabled: true } })
    expect((await visitor.get('/api/courses')).statusCode).toBe(401)
  })

  test('with a forged cookie is none', async () => {
    const cookie = 'hexcairn=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA.c2lnbmF0dXJl'
    expect((await house.app.inject({ url: '/api/courses', headers: { cookie } })).statusCode).toBe(401)
  })

  test('is kept without its id', async () => {
    const visitor = await house.person('gita')
    const id = decodeURIComponent((visitor.headers['cookie'] ?? '').slice('hexcairn='.length)).split('.')[0] ?? ''
    const rows = await house.database.prisma.session.findMany()
    expect(id.length).toBeGreaterThan(20)
    expect(JSON.stringify(rows)).not.toContain(id)
  })

  test.each(sessionTimesForTest)('%s', async (_what, minutes, isAlive) => {
    expect(await readSession(house.database, minutes)).toBe(isAlive)
  })
})
