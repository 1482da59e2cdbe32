import { engineVersion } from '../engine.ts'
import type { Database } from '../store/database.ts'
import type { PlainSql } from '../store/plain-sql.ts'
import { version } from '../version.ts'
import { BackupFault, format, TableDigest, type Ending, type Heading } from './document.ts'
import type { Watch } from './progress.ts'
import { countRows, describeTables, readTable } from './tables.ts'

/** The lines of a backup, each with its line feed, read in a transaction that sees one moment. */
export async function* backupLines(
  sql: PlainSql,
  from: Database['kind'],
  now: Date,
  { onProgress, signal }: Watch = {},
): AsyncGenerator<string> {
  const tables = await describeTables(sql)
  const heading: Heading = {
    format,
    hexcairn: version,
    engine: engineVersion,
    madeAt: now.toISOString(),
    from,
    migrations: await appliedMigrations(sql),
    tables: await Promise.all(
      tables.map(async ({ name, columns }) => ({
        name,
        columns: columns.map((column) => column.name),
        rows: await countRows(sql, name),
      })),
    ),
  }
  yield `${JSON.stringify(heading)}\n`
  for (const [place, table] of tables.entries()) {
    const digest = new TableDigest()
    const rows = heading.tables[place]?.rows ?? 0
    for await (const row of readTable(sql, table)) {
      signal?.throwIfAborted()
      yield digest.add(row)
      onProgress?.({ table: table.name, done: digest.rows, rows })
    }
    yield `${JSON.stringify(digest.end(table.name))}\n`
  }
  yield `${JSON.stringify({ end: format } satisfies Ending)}\n`
}

/** Names of the migrations that were applied, oldest first; a database without any is none of Hexcairn's. */
async function appliedMigrations(sql: PlainSql): Promise<readonly string[]> {
  const [found] = await sql.rows(`select to_regclass('_prisma_migrations')::text`)
  const rows =
    found?.[0] === null
      ? []
      : await sql.rows(`
          select migration_name from _prisma_migrations where finished_at is not null and rolled_back_at is null
          order by migration_name collate "C"`)
  if (rows.length === 0)
    throw new BackupFault('Found no tables of Hexcairn in the database: there is nothing to back up.')
  return rows.map(([name]) => name ?? '')
}
