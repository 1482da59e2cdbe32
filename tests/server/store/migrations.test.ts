import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Database } from '../../../server/store/database.ts'
import { openEmbedded } from '../../../server/store/embedded.ts'
import { migrate, missingMigration, prismaFolder } from '../../../server/store/migrations.ts'

let database: Database
let folder = ''
beforeAll(async () => {
  database = await openEmbedded({ folder: null })
  folder = mkdtempSync(join(tmpdir(), 'hexcairn-prisma-'))
  cpSync(prismaFolder(), folder, { recursive: true })
})
afterAll(async () => {
  await database.close()
  rmSync(folder, { recursive: true, force: true })
})

function addMigration(name: string, sql: string): void {
  mkdirSync(join(folder, 'migrations', name))
  writeFileSync(join(folder, 'migrations', name, 'migration.sql'), sql)
}

describe('migrations', () => {
  test('lead to the tables that the schema describes', async () => {
    expect(await missingMigration(database)).toBeNull()
  })

  test('a schema that is ahead of its migrations is noticed', async () => {
    const file = join(folder, 'schema.prisma')
    const before = readFileSync(file, 'utf8')
    writeFileSync(file, before.replace('model Setting {', 'model Setting {\n  colour String?'))
    expect(await missingMigration(database, folder)).toContain('ADD COLUMN     "colour"')
    writeFileSync(file, before)
  })

  test('are applied once', async () => {
    expect((await migrate(database)).length).toBeGreaterThan(0)
    expect(await migrate(database)).toEqual([])
  })

  test('one that fails leaves nothing behind and is not taken for applied', async () => {
    addMigration('99990101000000_broken', 'create table half (a int); select no_such_function();')
    await expect(migrate(database, folder)).rejects.toThrow()
    const [found] = await database.prisma.$queryRaw<{ half: string | null }[]>`select to_regclass('half')::text as half`
    expect(found?.half).toBeNull()
    await expect(migrate(database, folder)).rejects.toThrow(
      'A change of this database failed before (99990101000000_broken). Restore the backup made before it',
    )
  })

  test('a database that a newer program has changed is left alone', async () => {
    await expect(migrate(database)).rejects.toThrow(
      'A newer Hexcairn has changed this database (99990101000000_broken).',
    )
  })

  test('one that was edited after it was applied is refused', async () => {
    const [first = ''] = readdirNames(join(prismaFolder(), 'migrations'))
    const edited = mkdtempSync(join(tmpdir(), 'hexcairn-prisma-'))
    cpSync(folder, edited, { recursive: true })
    const file = join(edited, 'migrations', first, 'migration.sql')
    writeFileSync(file, `${readFileSync(file, 'utf8')}\n-- edited`)
    await expect(migrate(database, edited)).rejects.toThrow(`edited after they were applied: ${first}`)
    rmSync(edited, { recursive: true, force: true })
  })
})

function readdirNames(path: string): string[] {
  return readdirSync(path, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map((entry) => entry.name)
    .sort()
}
