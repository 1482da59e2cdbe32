import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import { openQueue } from '../../server/grader/queue.ts'
import { openDatabase } from '../../server/plugins/database.ts'
import { openHosted } from '../../server/store/hosted.ts'
import type { Health } from '../../server/contract/index.ts'
import { killProcesses, start } from './commands/server-process.ts'
import { postgresBin, startPostgres, type PostgresServer } from './postgres.ts'

vi.setConfig({ hookTimeout: 300_000, testTimeout: 300_000 })

const bin = postgresBin()
describe.skipIf(bin === null)('on one PostgreSQL database', () => {
  let server: PostgresServer
  beforeAll(async () => {
    server = await startPostgres(bin ?? '')
  })
  afterEach(killProcesses)
  afterAll(() => server?.close())

  test('five that set it up at the same moment all come up, and it is set up once', async () => {
    for (const name of ['round_1', 'round_2', 'round_3']) {
      const connectionString = server.database(name)
      const applied: string[] = []
      const opened = await Promise.allSettled(
        Array.from({ length: 5 }, async () => {
          const database = await openDatabase({ kind: 'postgresql', connectionString }, (line) => applied.push(line))
          const queue = await openQueue(database, { graderSeconds: 60, onError: () => {}, isSupervising: false })
          return { database, queue }
        }),
      )
      expect(opened.filter(({ status }) => status === 'rejected')).toEqual([])
      expect(new Set(applied).size).toBe(applied.length)
      const both = opened.flatMap((each) => (each.status === 'fulfilled' ? [each.value] : []))
      for (const { database } of both.slice(0, 1)) {
        const queues = await database.prisma.$queryRaw<{ queues: string }[]>`
          select string_agg(name, ' ' order by name) as queues from pgboss.queue where name !~ '^__'`
        expect(queues).toEqual([{ queues: 'diagnose diagnose-given-up grade grade-given-up' }])
      }
      for (const { database, queue } of both) {
        await queue.close()
        await database.close()
      }
    }
  })

  test('two servers and a grader that are started at once on an empty one all work, and stop cleanly', async () => {
    const env = { DATABASE_URL: server.database('together') }
    const all = start(['serve', '--port', '0', '--graders', '1'], env)
    const web = start(['serve', '--port', '0'], { ...env, HEXCAIRN_ROLE: 'web' })
    const grader = start(['serve'], { ...env, HEXCAIRN_ROLE: 'grader', HEXCAIRN_GRADERS: '1' })
    const addresses = [await all.line(/listens at (\S+)/), await web.line(/listens at (\S+)/)]
    expect(await grader.line(/^Grading .*$/m)).toBe('Grading with 1 thread.')
    expect(web.text()).toContain('It grades nothing itself')
    for (const address of addresses) {
      const health = (await (await fetch(`${address}/api/health`)).json()) as Health
      expect(health).toMatchObject({ status: 'ok', database: 'postgresql', graderThreads: 2 })
    }
    for (const each of [all, web, grader]) {
      each.child.kill('SIGTERM')
      expect((await each.ended()).code).toBe(0)
    }
  })

  test('an older program than the last one refuses in one line and changes nothing', async () => {
    const connectionString = server.database('newer', 'round_1')
    const database = await openHosted({ connectionString })
    await database.prisma.$executeRaw`
      insert into _prisma_migrations (id, checksum, migration_name, started_at, finished_at, applied_steps_count)
      values ('later', 'x', '20990101000000_what_comes_later', now(), now(), 1)`
    const run = start(['serve', '--port', '0'], { DATABASE_URL: connectionString })
    expect((await run.ended()).code).toBe(2)
    expect(run.text()).toBe(
      'A newer Hexcairn has changed this database (20990101000000_what_comes_later). Start that version, or a later one; nothing was changed.\n',
    )
    await database.close()
  })

  test.each([
    ['database', /has no database 'nowhere'\. Make it with createdb, or correct DATABASE_URL\.$/],
    ['user', /does not let 'stranger' in\. Create that user, or correct DATABASE_URL\.$/],
  ])('a %s that does not exist is told in one line', async (what, says) => {
    const url = new URL(server.database(`for_${what}`))
    if (what === 'database') url.pathname = '/nowhere'
    else url.username = 'stranger'
    const run = start(['serve', '--role', 'grader'], { DATABASE_URL: url.href })
    expect((await run.ended()).code).toBe(2)
    expect(run.text().split('\n')).toEqual([expect.stringMatching(says), ''])
  })
})
