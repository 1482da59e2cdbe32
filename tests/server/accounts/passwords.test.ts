import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { PasswordLink, PasswordLinkOwner, ProblemDetails, Session } from '../../../server/contract/index.ts'
import { makePasswordLink } from '../../../server/accounts/password-links.ts'
import { openHouse, password, type House, type Visitor } from '../harness.ts'
import { openClass, type Class } from '../sample.ts'

let house: House
let group: Class
beforeAll(async () => {
  house = await openHouse({ limits: { passwordFailures: 3 } })
  group = await openClass(house)
  await house.person('petra')
})
afterAll(() => house.close())

async function isSignedIn(visitor: Visitor): Promise<boolean> {
  return (await visitor.take<Session>('GET', '/api/session')).user !== null
}

async function signInWith(userName: string, word: string): Promise<number> {
  return (await house.visitor().post('/api/session', { userName, password: word })).statusCode
}

describe('a changed password', () => {
  test('is taken from then on, the old one is not, and every other session of the account ends', async () => {
    const person = await house.person('iva')
    const elsewhere = await house.visitor().signIn('iva')
    const body = { current: password, password: 'three words anew' }
    const session = await person.take<Session>('PUT', '/api/session/password', body)
    expect(session.user?.userName).toBe('iva')
    expect([await isSignedIn(person), await isSignedIn(elsewhere)]).toEqual([true, false])
    expect([await signInWith('iva', password), await signInWith('iva', 'three words anew')]).toEqual([401, 200])
  })

  test.each([
    ['the wrong present password', { current: 'not it at all', password: 'three words anew' }, 'wrong-password'],
    ['a new one that holds the user name', { current: password, password: 'oh-petra-oh' }, 'password-too-simple'],
    ['a short new one', { current: password, password: 'short' }, 'invalid-request'],
  ])('is refused with %s, and nothing is changed', async (_what, body, code) => {
    const person = await house.visitor().signIn('petra')
    const refused = await person.request('PUT', '/api/session/password', body)
    expect(refused.json<ProblemDetails>().code).toBe(code)
    expect(await signInWith('petra', password)).toBe(200)
  })
})

describe('a link for a new password', () => {
  const urlFor = (visitor: Visitor): string => `/api/courses/${group.course.id}/members/${visitor.id}/password-link`

  test('says whose it is, sets the password once, signs in, and ends every session', async () => {
    const forgetful = await house.person('oda', { displayName: 'Oda Fell' })
    await house.enrol(forgetful, group.course.id, 'student')
    const { token } = await group.instructor.take<PasswordLink>('POST', urlFor(forgetful))
    const visitor = house.visitor()
    const owner = await visitor.take<PasswordLinkOwner>('POST', '/api/password-links', { token })
    expect(owner).toMatchObject({ userName: 'oda', displayName: 'Oda Fell' })
    const body = { token, password: 'remembered now' }
    const session = await visitor.take<Session>('POST', '/api/password-links/used', body)
    expect(session.user?.userName).toBe('oda')
    expect(await isSignedIn(forgetful)).toBe(false)
    expect([await signInWith('oda', password), await signInWith('oda', 'remembered now')]).toEqual([401, 200])
    const again = await house.visitor().post('/api/password-links/used', { ...body, password: 'somebody else 1' })
    expect(again.json<ProblemDetails>().code).toBe('password-link-unknown')
    expect(await signInWith('oda', 'remembered now')).toBe(200)
  })

  test('lets in whoever has tried too often before', async () => {
    const forgetful = await house.person('una')
    await house.enrol(forgetful, group.course.id, 'student')
    for (let i = 0; i < 3; i += 1) await signInWith('una', `guess number ${i}`)
    expect(await signInWith('una', password)).toBe(429)
    const { token } = await group.instructor.take<PasswordLink>('POST', urlFor(forgetful))
    await house.visitor().take('POST', '/api/password-links/used', { token, password: 'remembered now' })
  })

  test('of two links the newer one works, and none after a day', async () => {
    const forgetful = await house.person('ugo')
    await house.enrol(forgetful, group.course.id, 'student')
    const first = await group.instructor.take<PasswordLink>('POST', urlFor(forgetful))
    const second = await group.instructor.take<PasswordLink>('POST', urlFor(forgetful))
    const statusOf = async (token: string) => (await house.visitor().post('/api/password-links', { token })).statusCode
    expect([await statusOf(first.token), await statusOf(second.token)]).toEqual([403, 200])
    const dayAgo = new Date(Date.now() - 25 * 3_600_000)
    const old = await makePasswordLink(house.database, forgetful.id, { actorId: null }, dayAgo)
    expect(await statusOf(old.token)).toBe(403)
  })

  test.each([
    ['somebody of another course', 'stranger', 'not-found'],
    ['another instructor', 'colleague', 'password-not-yours'],
    ['an assistant who teaches elsewhere', 'teaches-elsewhere', 'password-not-yours'],
    ['a student who is in a course of others too', 'shared', 'password-not-yours'],
    ['somebody who may create courses', 'creator', 'password-not-yours'],
  ])('is not made for %s', async (_who, userName, code) => {
    const other = await house.person(`${userName}-boss`, { mayCreateCourses: true })
    const elsewhere = await other.take<{ id: string }>('POST', '/api/courses', { title: 'Elsewhere', timeZone: 'UTC' })
    const person = await house.person(userName, { mayCreateCourses: userName === 'creator' })
    const here = { colleague: 'instructor', 'teaches-elsewhere': 'assistant', shared: 'student', creator: 'student' }
    const role = here[userName as keyof typeof here] as 'instructor' | 'assistant' | 'student' | undefined
    if (role !== undefined) await house.enrol(person, group.course.id, role)
    if (userName === 'teaches-elsewhere') await house.enrol(person, elsewhere.id, 'instructor')
    if (userName === 'shared' || userName === 'stranger') await house.enrol(person, elsewhere.id, 'student')
    const refused = await group.instructor.post(urlFor(person))
    expect(refused.json<ProblemDetails>().code).toBe(code)
    expect(await house.database.prisma.passwordLink.count({ where: { userId: person.id } })).toBe(0)
  })

  test('stands in the audit with who made it; the token stands nowhere', async () => {
    const forgetful = await house.person('ulf')
    await house.enrol(forgetful, group.course.id, 'student')
    const { token } = await group.instructor.take<PasswordLink>('POST', urlFor(forgetful))
    const events = await house.database.prisma.auditEvent.findMany({ where: { action: 'password-link-made' } })
    expect(events.at(-1)).toMatchObject({ actorId: group.instructor.id, objectId: forgetful.id })
    const rows = await house.database.prisma.passwordLink.findMany()
    expect(
      JSON.stringify([events, rows], (_key, value: unknown) => (typeof value === 'bigint' ? Number(value) : value)),
    ).not.toContain(token)
  })
})
