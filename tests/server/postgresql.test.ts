import { spawn, type ChildProcess } from 'node:child_process'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { buildApp } from '../../server/app.ts'
import type { Submission } from '../../server/contract/index.ts'
import { openQueue } from '../../server/grader/queue.ts'
import type { Database } from '../../server/store/database.ts'
import { openHosted } from '../../server/store/hosted.ts'
import { migrate } from '../../server/store/migrations.ts'
import { cheapCost, inThread, openHouse, password, testConfig, type House } from './harness.ts'
import { postgresBin, startPostgres, type PostgresServer } from './postgres.ts'
import { openClass, rightProgram, type Class } from './sample.ts'

const bin = postgresBin()
if (bin === null) console.warn('Skipped: the tests on PostgreSQL, for no server is installed (Debian: postgresql).')
const isDemanded = process.env['CI'] === 'true'

test('where no test may be skipped a PostgreSQL server is installed', () => {
  expect(bin !== null || !isDemanded).toBe(true)
})

describe.skipIf(bin === null)('on a PostgreSQL server', () => {
  let server: PostgresServer
  beforeAll(async () => {
    server = await startPostgres(bin ?? '')
    const first = await openHosted({ connectionString: server.database('first') })
    await migrate(first)
    const queue = await openQueue(first, { graderSeconds: 60, onError: () => {}, isSupervising: false })
    await queue.close()
    await first.close()
  })
  afterAll(() => server?.close())

  const limits = { graderSeconds: 2 }
  const config = () => ({ database: { kind: 'postgresql' as const, connectionString } })
  const children: ChildProcess[] = []
  let count = 0
  let connectionString = ''
  let database: Database
  let house: House | null = null
  beforeEach(async () => {
    count += 1
    connectionString = server.database(`test_${count}`, 'first')
    database = await openHosted({ connectionString })
  })
  afterEach(async () => {
    for (const child of children.splice(0)) child.kill('SIGKILL')
    await house?.close()
    house = null
    await database.close()
  })

  async function open(pool = true): Promise<{ group: Class; url: string }> {
    house = await openHouse({ database, limits, config: config(), ...(pool ? { pool: inThread } : {}) })
    const group = await openClass(house)
    return { group, url: `/api/exercises/${group.exercise.id}/submissions` }
  }

  test('four processes that migrate an empty database at once leave it migrated', async () => {
    const address = server.database('racing')
    const racers = await Promise.all(
      Array.from({ length: 4 }, () => openHosted({ connectionString: address, connections: 2 })),
    )
    const applied = await Promise.all(racers.map((each) => migrate(each)))
    expect(applied.filter((names) => names.length > 0)).toHaveLength(1)
    await Promise.all(racers.map((each) => each.close()))
  })

  test('a hand-in goes from receipt to report', async () => {
    const { group, url } = await open()
    const response = await group.student.post(url, rightProgram, { prefer: 'wait=30' })
    expect(response.json<Submission>()).toMatchObject({ state: 'graded', score: 100 })
  })

  test('times come back as they were, whatever the zone of the server', async () => {
    const { group, url } = await open(false)
    const before = Date.now()
    const { id } = await group.student.take<Submission>('POST', url, rightProgram)
    const [row] = await database.prisma.auditEvent.findMany({ where: { objectId: id } })
    expect(Math.abs((row?.at.getTime() ?? 0) - before)).toBeLessThan(60_000)
  })

  test('fifty hand-ins at the same time get fifty numbers and fifty reports', async () => {
    const { group, url } = await open()
    const all = await Promise.all(
      Array.from({ length: 50 }, () => group.student.take<Submission>('POST', url, rightProgram)),
    )
    expect(new Set(all.map((each) => each.receipt.number)).size).toBe(50)
    await expect
      .poll(() => database.prisma.submission.count({ where: { state: 'graded' } }), { timeout: 60_000 })
      .toBe(50)
    expect(await database.prisma.auditEvent.count({ where: { action: 'graded' } })).toBe(50)
  })

  test('two instructors who take the role from each other at once do not leave the course without one', async () => {
    const { group } = await open(false)
    await house?.enrol(group.assistant, group.course.id, 'instructor')
    const path = (id: string): string => `/api/courses/${group.course.id}/members/${id}`
    const results = await Promise.all([
      group.instructor.request('PATCH', path(group.assistant.id), { role: 'student' }),
      group.assistant.request('PATCH', path(group.instructor.id), { role: 'student' }),
    ])
    const left = await database.prisma.membership.count({ where: { courseId: group.course.id, role: 'instructor' } })
    expect([left, results.filter(({ statusCode }) => statusCode === 200).length]).toEqual([1, 1])
  })

  test('the submission of a grader process that was killed is taken up by another one, and graded once', async () => {
    const { group, url } = await open(false)
    const script = new URL('./grader/slow-grader.ts', import.meta.url).pathname
    const child = spawn(process.execPath, ['--import', 'tsx', script], {
      env: {
        ...process.env,
        DATABASE_URL: connectionString,
        HEXCAIRN_ROLE: 'grader',
        HEXCAIRN_GRADER_SECONDS: '2',
        LOG_LEVEL: 'silent',
      },
      stdio: ['ignore', 'pipe', 'inherit'],
    })
    children.push(child)
    await new Promise((resolve, reject) => {
      child.stdout?.once('data', resolve)
      child.once('exit', (code) => reject(new Error(`the grader ended with ${code}`)))
    })
    const { id } = await group.student.take<Submission>('POST', url, rightProgram)
    const find = () => database.prisma.submission.findUniqueOrThrow({ where: { id } })
    await expect.poll(async () => (await find()).state, { timeout: 30_000 }).toBe('running')
    child.kill('SIGKILL')
    const other = await buildApp({
      config: testConfig({ limits, config: { ...config(), role: 'all' } }),
      database,
      passwordCost: cheapCost,
      pool: inThread,
    })
    await expect.poll(async () => (await find()).state, { timeout: 60_000 }).toBe('graded')
    expect((await find()).attempt).toBe(2)
    expect(await database.prisma.auditEvent.count({ where: { action: 'graded' } })).toBe(1)
    await other.close()
  })

  test('two servers count wrong passwords together, and let a browser in that one of them knows', async () => {
    const second = await openHosted({ connectionString })
    house = await openHouse({ database, config: config() })
    const beside = await openHouse({ database: second, config: config() })
    const own = await house.person('hugo')
    const statuses: number[] = []
    for (let n = 0; n < 6; n += 1) {
      const visitor = (n % 2 === 0 ? house : beside).visitor()
      statuses.push((await visitor.post('/api/session', { userName: 'hugo', password: 'not it at all' })).statusCode)
    }
    expect(statuses).toEqual([401, 401, 401, 401, 401, 429])
    const known = await beside.visitor().post('/api/session', { userName: 'hugo', password }, own.headers)
    expect(known.statusCode).toBe(200)
    await beside.close()
    await second.close()
  })

  test('a listener whose connection was cut comes back, and says that it may have missed something', async () => {
    let gaps = 0
    const heard: string[] = []
    const stop = await database.listen(
      'test_channel',
      (payload) => heard.push(payload),
      () => {
        gaps += 1
      },
    )
    await database.prisma.$executeRaw`
      select pg_terminate_backend(pid) from pg_stat_activity where query ilike 'listen%test_channel%'`
    await expect.poll(() => gaps, { timeout: 20_000 }).toBe(1)
    await database.prisma.$executeRaw`select pg_notify('test_channel', 'after')`
    await expect.poll(() => heard, { timeout: 20_000 }).toEqual(['after'])
    await stop()
  })
})
