import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test, vi } from 'vitest'
import { hashPassword } from '../../../server/accounts/passwords.ts'
import { backupLines } from '../../../server/backup/backup-lines.ts'
import { checkLines, loadLines } from '../../../server/backup/load-lines.ts'
import { beginRestore, restore } from '../../../server/backup/restore.ts'
import type { Submission } from '../../../server/contract/index.ts'
import type { Database } from '../../../server/store/database.ts'
import { openEmbedded } from '../../../server/store/embedded.ts'
import { migrate, migrationNames } from '../../../server/store/migrations.ts'
import { cheapCost, openHouse, password } from '../harness.ts'

vi.setConfig({ testTimeout: 300_000 })

const firstRelease = '20261125100000_first_tables'

/** A small class in the tables of the first release: people, an exercise, graded and failed hand-ins, notes, reviews. */
async function asFirstReleaseLeftIt(): Promise<Database> {
  const database = await openEmbedded({ folder: null })
  expect(await migrate(database, undefined, firstRelease)).toEqual([firstRelease])
  const rows = readFileSync(join(import.meta.dirname, '../../fixtures/first-release.sql'), 'utf8')
  const hash = await hashPassword(password, cheapCost)
  for (const statement of rows.replaceAll('PASSWORD-HASH', hash).split(/;\n/))
    if (statement.trim() !== '') await database.prisma.$executeRawUnsafe(statement)
  return database
}

async function backupOf(database: Database): Promise<readonly string[]> {
  return database.inLongTransaction('read', async (sql) => {
    const lines: string[] = []
    for await (const line of backupLines(sql, 'embedded', new Date(0))) lines.push(line)
    return lines
  })
}

async function* linesOf(lines: readonly string[]): AsyncGenerator<string> {
  yield* lines.map((line) => line.trimEnd())
}

/** At work after the change: a student signs in, sees the old report, the note and its own. */
async function requireAtWork(database: Database): Promise<void> {
  const house = await openHouse({ database })
  const student = await house.visitor().signIn('pia.moor')
  const seen = await student.take<Submission>('GET', '/api/submissions/sub-1')
  expect(seen).toMatchObject({ state: 'graded', score: 40 })
  expect(seen.report?.checks.map(({ id }) => id)).toEqual(['total'])
  const staff = await house.visitor().signIn('jon.reed')
  const { notes } = await staff.take<{ notes: { text: string }[] }>('GET', '/api/submissions/sub-1/notes')
  expect(notes.map(({ text }) => text)).toEqual(['Look at 4600h.'])
  await house.close()
}

test('data of the first release is brought to this version, and its backup can be brought back to that one', async () => {
  const old = await asFirstReleaseLeftIt()
  const backup = await backupOf(old)
  const { heading, tables } = await checkLines(linesOf(backup))
  expect(heading.migrations).toEqual([firstRelease])

  // Over in place.
  expect(await migrate(old)).toEqual(migrationNames().slice(1))
  await requireAtWork(old)
  await old.close()

  // The same by a restore with this program.
  const restored = await openEmbedded({ folder: null })
  const done = await restore(restored, await beginRestore(linesOf(backup)))
  expect([done.tables, done.migrated, done.waiting]).toEqual([tables, migrationNames().slice(1), 1])
  await requireAtWork(restored)
  await restored.close()

  // Back: the tables of the first release, filled from the backup, are what they were.
  const back = await openEmbedded({ folder: null })
  await migrate(back, undefined, firstRelease)
  await back.inLongTransaction('write', (sql) => loadLines(sql, linesOf(backup)))
  expect(await backupOf(back)).toEqual(backup)
  await back.close()
})
