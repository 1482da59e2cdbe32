import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest'
import { pauseAfter, subscriberOf } from '../../../server/accounts/sign-in-throttle.ts'
import type { Course, ProblemDetails } from '../../../server/contract/index.ts'
import type { Database } from '../../../server/store/database.ts'
import { freshDatabase, openHouse, password, Visitor, type House } from '../harness.ts'

const wrong = 'not it at all'
let database: Database
let house: House
/** Another server on the same database. */
let other: House
let lines: Record<string, unknown>[]
beforeAll(async () => {
  database = await freshDatabase()
  house = await openHouse({ database, limits: { addressFailures: 90 } })
  other = await openHouse({ database, limits: { addressFailures: 90 } })
  for (const log of [house.app.log, other.app.log])
    for (const level of ['info', 'warn'] as const)
      log[level] = ((line: Record<string, unknown>) => {
        if ('event' in line) lines.push({ level, ...line })
      }) as never
})
afterAll(async () => {
  await other.close()
  await house.close()
  await database.close()
})
beforeEach(async () => {
  lines = []
  await database.prisma.throttleCount.deleteMany()
  vi.useFakeTimers({ toFake: ['Date'] })
})
afterEach(() => {
  vi.useRealTimers()
})

const later = (seconds: number): void => void vi.setSystemTime(Date.now() + seconds * 1000)

async function signIn(visitor: Visitor, userName: string, secret = password): Promise<number> {
  return (await visitor.post('/api/session', { userName, password: secret })).statusCode
}

/** Somebody new, whose browser nobody knows. */
async function account(userName: string): Promise<Visitor> {
  return house.person(userName)
}

/** Wrong passwords from a browser that nobody knows, until one more would have to wait. */
async function fail(userName: string, times: number, at: House = house): Promise<number[]> {
  const statuses: number[] = []
  for (let n = 0; n < times; n += 1) statuses.push(await signIn(at.visitor(), userName, wrong))
  return statuses
}

describe('wrong passwords for one name', () => {
  test('make it wait, over all servers, in whatever letters it is written, and longer each time', async () => {
    await account('hugo')
    expect(await fail('hugo', 3)).toEqual([401, 401, 401])
    expect(await fail('HUGO', 3, other)).toEqual([401, 401, 429])
    for (const at of [house, other]) {
      const refused = await at.visitor().post('/api/session', { userName: 'hugo', password })
      expect(refused.statusCode).toBe(429)
      expect(refused.headers['content-type']).toContain('application/problem+json')
      expect(refused.headers['retry-after']).toBe('30')
      expect(refused.json<ProblemDetails>()).toMatchObject({
        code: 'too-many-failures',
        retryAfter: 30,
        detail: 'Too many wrong passwords for this user name. Try again in 30 seconds.',
      })
    }
    later(31)
    expect(await fail('hugo', 1)).toEqual([401])
    const longer = await house.visitor().post('/api/session', { userName: 'hugo', password })
    expect(longer.headers['retry-after']).toBe('60')
    later(61)
    expect(await signIn(house.visitor(), 'hugo')).toBe(200)
    // The right one has settled it.
    expect(await fail('hugo', 5)).toEqual([401, 401, 401, 401, 401])
  })

  test('do the same to a name that nobody has', async () => {
    expect(await fail('nobody-of-that-name', 6)).toEqual([401, 401, 401, 401, 401, 429])
  })

  test('hold up no other name from the same address, however many there are', async () => {
    await account('wren')
    await fail('tom', 40)
    expect(await signIn(other.visitor(), 'wren')).toBe(200)
  })

  test('sent all at once let no more through than one after the other', async () => {
    await account('ines')
    const guesses = Array.from({ length: 30 }, (_, n) => (n === 25 ? password : `${wrong} ${n}`))
    const statuses = await Promise.all(
      guesses.map((guess, n) => signIn((n % 2 === 0 ? house : other).visitor(), 'ines', guess)),
    )
    expect(statuses.filter((status) => status === 200)).toEqual([])
    expect(statuses).toContain(429)
  })

  test('are forgotten after a day', async () => {
    expect((await fail('vera', 5)).at(-1)).toBe(401)
    later(86_401)
    expect(await fail('vera', 5)).toEqual([401, 401, 401, 401, 401])
  })

  test.each([
    [4, 0],
    [5, 30],
    [6, 60],
    [9, 480],
    [10, 900],
    [500, 900],
  ])('%i of them, of which four are free, are a pause of %i s', (failures, seconds) => {
    expect(pauseAfter(failures, 5)).toBe(seconds)
  })
})

describe('right passwords', () => {
  test('cost nothing: twelve in a row and twelve at once lock no name', async () => {
    await account('lena')
    for (let n = 0; n < 12; n += 1) expect(await signIn(house.visitor(), 'lena')).toBe(200)
    const all = await Promise.all(Array.from({ length: 12 }, () => signIn(other.visitor(), 'lena')))
    expect(new Set(all)).toEqual(new Set([200]))
    expect(await database.prisma.throttleCount.count()).toBe(0)
  })

  test('from a browser that has signed in before are taken, whatever others did to the name and the address', async () => {
    const own = await account('mira')
    await own.request('DELETE', '/api/session')
    await fail('mira', 12)
    for (let n = 0; n < 70; n += 1) await signIn(house.visitor(), `guess-${n}`, wrong)
    expect(await signIn(house.visitor(), 'mira')).toBe(429)
    expect(await signIn(own, 'mira')).toBe(200)
    // Also after own slips, which hold up nobody else.
    for (let n = 0; n < 12; n += 1) expect(await signIn(own, 'mira', wrong)).toBe(401)
    expect(await signIn(own, 'mira')).toBe(200)
  })

  test('from a browser known to somebody else have to wait like any other', async () => {
    const others = await account('noor')
    await account('olga')
    await fail('olga', 5)
    expect(await signIn(others, 'olga')).toBe(429)
  })

  test('from a browser whose cookie is made up or changed have to wait', async () => {
    await account('piet')
    await fail('piet', 5)
    for (const cookie of ['hexcairn-device=piet', 'hexcairn-device=AAAAAAAAAAAAAAAAAAAAAAAA.c2lnbmF0dXJl']) {
      const body = { userName: 'piet', password }
      expect((await house.visitor().post('/api/session', body, { cookie })).statusCode).toBe(429)
    }
  })

  test('a browser that guesses is known no longer after fifty wrong ones in a day', async () => {
    const own = await account('rosa')
    for (let n = 0; n < 50; n += 1) expect(await signIn(own, 'rosa', wrong)).toBe(401)
    await fail('rosa', 5)
    expect(await signIn(own, 'rosa')).toBe(429)
  })
})

describe('wrong sign-ins from one address', () => {
  test('with many names are noticed, logged without names and addresses, and use up its allowance faster', async () => {
    await account('siri')
    let tried = 0
    while ((await signIn((tried % 2 === 0 ? house : other).visitor(), `guess-${tried}`, wrong)) === 401) tried += 1
    // 60 at one each, and 6 at five each.
    expect(tried).toBe(66)
    const noticed = lines.filter(({ event }) => event === 'names-tried-from-one-address')
    expect(noticed).toEqual([
      { level: 'warn', event: 'names-tried-from-one-address', names: 60, address: expect.stringMatching(/^\w{12}$/) },
    ])
    expect(lines.filter(({ event }) => event === 'sign-in-failed')).toHaveLength(66)
    expect(JSON.stringify(lines)).not.toMatch(/guess-|127\.0\.0\.1/)
    const refused = await other.visitor().post('/api/session', { userName: 'siri', password })
    expect(refused.json<ProblemDetails>().detail).toBe(
      'Too many wrong sign-ins from this network. Try again in 15 minutes.',
    )
    later(901)
    expect(await signIn(house.visitor(), 'siri')).toBe(200)
  })

  test('nothing in the table tells a name or an address', async () => {
    await fail('tove', 6)
    const text = JSON.stringify(await database.prisma.throttleCount.findMany({ select: { key: true } }))
    expect(text).not.toMatch(/tove|127\.0\.0\.1/)
  })

  test.each([
    ['203.0.113.9', '203.0.113.9'],
    ['::ffff:203.0.113.9', '203.0.113.9'],
    ['2001:db8:1:2:aaaa::1', subscriberOf('2001:db8:1:2:bbbb::9')],
    ['no address', 'no address'],
  ])('%s counts as %s', (address, subscriber) => {
    expect(subscriberOf(address)).toBe(subscriber)
  })

  test('two networks of IPv6 are two', () => {
    expect(subscriberOf('2001:db8:1:2::1')).not.toBe(subscriberOf('2001:db8:1:3::1'))
  })
})

describe('what else is counted over all servers', () => {
  test('join codes that no course has, of one person', async () => {
    const instructor = await house.person('ida', { mayCreateCourses: true })
    const course = await instructor.take<Course>('POST', '/api/courses', { title: 'Depot', timeZone: 'UTC' })
    const person = await account('uta')
    const elsewhere = new Visitor(other.app)
    expect(await signIn(elsewhere, 'uta')).toBe(200)
    for (let n = 0; n < 20; n += 1) {
      const guess = await (n % 2 === 0 ? person : elsewhere).post('/api/courses/join', { code: 'AAAA-AAAA' })
      expect(guess.statusCode).toBe(422)
    }
    const refused = await elsewhere.post('/api/courses/join', { code: course.joinCode })
    expect([refused.statusCode, refused.headers['retry-after']]).toEqual([429, '900'])
  })
})
