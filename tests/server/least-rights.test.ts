import pg from 'pg'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import type { Submission } from '../../server/contract/index.ts'
import { openDatabase } from '../../server/plugins/database.ts'
import { inProcess } from './commands/command-cases.ts'
import { inThread, openHouse } from './harness.ts'
import { postgresBin, startPostgres, type PostgresServer } from './postgres.ts'
import { openClass, rightProgram } from './sample.ts'

vi.setConfig({ hookTimeout: 300_000, testTimeout: 300_000 })

const bin = postgresBin()
describe.skipIf(bin === null)('a user of the database with rows alone', () => {
  let server: PostgresServer
  let address = ''
  beforeAll(async () => {
    server = await startPostgres(bin ?? '')
    const owner = server.database('school')
    const client = new pg.Client({ connectionString: owner })
    await client.connect()
    await client.query('create role hexcairn_server login')
    await client.end()
    vi.stubEnv('DATABASE_URL', owner)
    const made = await inProcess(['migrate', '--server-user', 'hexcairn_server'])
    expect(made).toMatchObject({ code: 0, err: '' })
    const nobody = await inProcess(['migrate', '--server-user', 'nobody_there'])
    expect([nobody.code, nobody.err]).toEqual([2, expect.stringContaining("has no user 'nobody_there'")])
    vi.unstubAllEnvs()
    address = owner.replace('postgres@', 'hexcairn_server@')
  })
  afterAll(() => server?.close())

  test('starts a server, takes a hand-in and grades it', async () => {
    const database = await openDatabase({ kind: 'postgresql', connectionString: address })
    const house = await openHouse({ database, pool: inThread })
    const group = await openClass(house)
    const url = `/api/exercises/${group.exercise.id}/submissions`
    const graded = await group.student.take<Submission>('POST', url, rightProgram, { prefer: 'wait=30' })
    expect([graded.state, graded.score]).toEqual(['graded', 100])
    await house.close()
    await database.close()
  })

  test.each([
    'create table public.own (a int)',
    'alter table "User" add column extra int',
    'drop table "Note"',
    'create index on pgboss.job (data)',
    'update "AuditEvent" set action = \'nothing\'',
    'delete from "AuditEvent"',
    'delete from _prisma_migrations',
  ])('may not %s', async (statement) => {
    const client = new pg.Client({ connectionString: address })
    await client.connect()
    // insufficient_privilege (appendix A of PostgreSQL's manual)
    await expect(client.query(statement)).rejects.toMatchObject({ code: '42501' })
    await client.end()
  })
})
