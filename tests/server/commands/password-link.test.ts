import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { openEmbedded } from '../../../server/store/embedded.ts'
import { freshDatabase, openHouse } from '../harness.ts'
import { inProcess } from './command-cases.ts'

const parent = mkdtempSync(join(tmpdir(), 'hexcairn-link-'))
const folder = join(parent, 'data')
const address = process.env['DATABASE_URL']
beforeAll(() => {
  delete process.env['DATABASE_URL']
})
afterAll(() => {
  if (address !== undefined) process.env['DATABASE_URL'] = address
  rmSync(parent, { recursive: true, force: true })
})

test('password-link prints a link that sets the password of the account', async () => {
  const first = await freshDatabase(folder)
  const before = await openHouse({ database: first })
  await before.person('mirko', { mayCreateCourses: true })
  await before.close()
  await first.close()

  expect(await inProcess(['password-link', 'nobody', '--data', folder])).toMatchObject({
    code: 2,
    out: '',
    err: 'hexcairn: Found no account named nobody, allowed one of this server.\n',
  })
  const { code, out } = await inProcess(['password-link', 'Mirko', '--data', folder])
  expect([code, out]).toEqual([0, expect.stringMatching(/\/new-password#[\w-]{32}\nIt works once, until .+\n$/)])

  const database = await openEmbedded({ folder })
  const house = await openHouse({ database })
  const body = { token: out.match(/#([\w-]+)/)?.[1], password: 'remembered now' }
  await house.visitor().take('POST', '/api/password-links/used', body)
  await house.close()
  await database.close()
})
