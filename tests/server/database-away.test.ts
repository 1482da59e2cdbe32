import { setTimeout as pause } from 'node:timers/promises'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import type { Submission, SubmissionPage } from '../../server/contract/index.ts'
import { openQueue } from '../../server/grader/queue.ts'
import type { Database } from '../../server/store/database.ts'
import { openHosted } from '../../server/store/hosted.ts'
import { migrate } from '../../server/store/migrations.ts'
import { inThread, openHouse, type House } from './harness.ts'
import { postgresBin, startPostgres, type PostgresServer } from './postgres.ts'
import { openClass, rightProgram, type Class } from './sample.ts'
import { layWire, type Wire } from './wire.ts'

const bin = postgresBin()

describe.skipIf(bin === null)('while the database is away', () => {
  let server: PostgresServer
  let wire: Wire
  let database: Database
  let house: House
  let group: Class
  beforeAll(async () => {
    server = await startPostgres(bin ?? '')
    const address = new URL(server.database('away'))
    const first = await openHosted({ connectionString: address.href })
    await migrate(first)
    await (await openQueue(first, { graderSeconds: 60, onError: () => {}, isSupervising: false })).close()
    await first.close()
    wire = await layWire(Number(address.port))
    address.port = String(wire.port)
    const connectionString = address.href
    database = await openHosted({ connectionString })
    house = await openHouse({
      database,
      pool: inThread,
      limits: { graderSeconds: 5 },
      config: { database: { kind: 'postgresql', connectionString } },
    })
    group = await openClass(house)
  })
  afterEach(() => wire.set('passes'))
  afterAll(async () => {
    await house?.close()
    await database?.close()
    await wire?.close()
    server?.close()
  })

  const accepted = new Set<string>()
  /** Hands in until `isOver`; gives every status that came back, and whether each refusal said when to come again. */
  async function handInUntil(isOver: () => boolean): Promise<{ statuses: Set<number>; areTimed: boolean }> {
    const statuses = new Set<number>()
    let areTimed = true
    while (!isOver()) {
      const response = await group.student.post(`/api/exercises/${group.exercise.id}/submissions`, rightProgram)
      statuses.add(response.statusCode)
      if (response.statusCode === 503) areTimed &&= Number(response.headers['retry-after']) > 0
      else accepted.add(response.json<Submission>().id)
      await pause(100)
    }
    return { statuses, areTimed }
  }

  /** Milliseconds until a hand-in is taken again. */
  async function untilTaken(): Promise<number> {
    const [from, before] = [Date.now(), accepted.size]
    await handInUntil(() => accepted.size > before)
    return Date.now() - from
  }

  const ways = {
    'stopped and started again': { away: () => server.stop(), back: () => server.start() },
    'cut off': { away: () => wire.set('refuses'), back: () => wire.set('passes') },
    'silent on every connection': {
      away: () => wire.set('hangs'),
      back: () => (wire.set('refuses'), wire.set('passes')),
    },
  } as const

  test.each(Object.entries(ways))(
    '%s, hand-ins get 503 with Retry-After and it is back within two seconds of the database',
    async (name, { away, back }) => {
      let isOver = false
      let heard = 0
      const stop = await database.listen(
        'channel',
        () => (heard += 1),
        () => {},
      )
      const load = handInUntil(() => isOver)
      await pause(500)
      away()
      await pause(2500)
      if (name !== 'silent on every connection') {
        expect((await group.student.get('/api/health')).statusCode).toBe(503)
        expect((await group.student.get('/api/health/ready')).statusCode).toBe(503)
        // Without a session, as whoever watches comes: one would be looked up in the database.
        expect((await house.visitor().get('/api/health/live')).statusCode).toBe(200)
        expect(wire.open).toBeLessThan(30)
      }
      isOver = true
      back()
      const { statuses, areTimed } = await load
      expect([...statuses].filter((status) => ![201, 202, 503].includes(status))).toEqual([])
      expect(areTimed).toBe(true)
      // On a loaded machine a try to connect may itself take a second.
      expect(await untilTaken()).toBeLessThan(4000)
      expect((await group.student.get('/api/health')).statusCode).toBe(200)
      for (let i = 0; i < 60 && heard === 0; i++) {
        await database.prisma.$executeRaw`select pg_notify('channel', 'news')`
        await pause(100)
      }
      expect(heard).toBeGreaterThan(0)
      await stop()
      expect(wire.most).toBeLessThan(40)
    },
  )

  test('nothing that was accepted is lost: each has one report', async () => {
    const url = `/api/exercises/${group.exercise.id}/submissions?limit=200`
    let items: SubmissionPage['items'] = []
    for (let i = 0; i < 300; i++) {
      items = (await group.student.take<SubmissionPage>('GET', url)).items
      if (items.every(({ state }) => state === 'graded')) break
      await pause(200)
    }
    expect(accepted.size).toBeGreaterThanOrEqual(3)
    const graded = new Set(items.filter(({ state }) => state === 'graded').map(({ id }) => id))
    expect([...accepted].filter((id) => !graded.has(id))).toEqual([])
  })

  test('listening can be stopped', async () => {
    const stop = await database.listen(
      'other',
      () => {},
      () => {},
    )
    wire.set('refuses')
    await pause(300)
    const from = Date.now()
    await stop()
    expect(Date.now() - from).toBeLessThan(3000)
  })
})
