import type { Database } from '../store/database.ts'
import type { PlainSql } from '../store/plain-sql.ts'
import { BackupFault } from './document.ts'
import { countRows, describeTables } from './tables.ts'

/** Tables by which people know what an installation holds, with the word for one row and for several. */
const telling: readonly (readonly [string, string, string])[] = [
  ['User', 'person', 'people'],
  ['Course', 'course', 'courses'],
  ['Submission', 'hand-in', 'hand-ins'],
]

/**
 * Throws a `BackupFault` that says what was found, unless the place is empty: without tables, or with tables of Hexcairn
 * without a row, which some of the given migrations have made.
 */
export async function requireEmpty(database: Database, migrations: readonly string[]): Promise<void> {
  await database.inLongTransaction('read', async (sql) => {
    const tables = (await describeTables(sql)).map(({ name }) => name)
    if (tables.length === 0) return
    const applied = await migrationsIn(sql)
    if (applied.length === 0)
      throw new BackupFault(
        `The place is not empty: found tables that are not Hexcairn's, such as '${tables[0]}', allowed an empty database.`,
      )
    const counts = new Map<string, number>()
    for (const name of tables) counts.set(name, await countRows(sql, name))
    const filled = [...counts].filter(([, rows]) => rows > 0)
    if (filled.length > 0) {
      const known = telling.map(
        ([name, one, more]) => `${counts.get(name) ?? 0} ${counts.get(name) === 1 ? one : more}`,
      )
      const rows = filled.reduce((sum, [, each]) => sum + each, 0)
      throw new BackupFault(
        `The place is not empty: found a Hexcairn with ${known.join(', ')}, ${rows} rows in all, allowed an empty folder or database.`,
      )
    }
    const later = applied.filter((name) => !migrations.includes(name))
    if (later.length > 0)
      throw new BackupFault(
        `The place has empty tables of a newer Hexcairn than the backup's (${later.join(', ')}), allowed an empty folder or database.`,
      )
  })
}

async function migrationsIn(sql: PlainSql): Promise<readonly string[]> {
  const [found] = await sql.rows(`select to_regclass('_prisma_migrations')::text`)
  if (found?.[0] === null) return []
  return (await sql.rows('select migration_name from _prisma_migrations')).map(([name]) => name ?? '')
}
