import { backupLines } from '../backup/backup-lines.ts'
import { beginRestore, restore } from '../backup/restore.ts'
import { readConfig } from '../config.ts'
import type { Database } from '../store/database.ts'
import { openExisting, openPlace, placeName, type Place } from './database-place.ts'
import { countsOf, operatorWork } from './operator-work.ts'
import { CommandProblem, printJson } from './output.ts'

export interface MoveOptions {
  readonly data?: string
  readonly json?: boolean
}

/**
 * `hexcairn move postgresql`: what is in the folder into the database of DATABASE_URL; `hexcairn move folder`: the other way.
 * What it came from stays as it is.
 */
export async function moveCommand(to: string, options: MoveOptions): Promise<number> {
  if (to !== 'postgresql' && to !== 'folder')
    throw new CommandProblem('bad-destination', `Found the destination '${to}', allowed postgresql, folder.`)
  const hosted = readConfig(process.env).database
  if (hosted.kind !== 'postgresql')
    throw new CommandProblem('no-database', 'Found no DATABASE_URL, which has to name the PostgreSQL database.')
  const embedded = readConfig(
    { ...process.env, DATABASE_URL: '', DATABASE_URL_FILE: '' },
    options.data ? { data: options.data } : {},
  ).database
  const [source, target]: readonly [Place, Place] = to === 'postgresql' ? [embedded, hosted] : [hosted, embedded]

  return operatorWork('No row was moved.', async (watch) => {
    const from = await openExisting(source)
    try {
      await requireAlone(from)
      const into = await openPlace(target)
      try {
        const { heading, tables, waiting } = await from.inLongTransaction('read', async (sql) =>
          restore(into, await beginRestore(backupLines(sql, from.kind, new Date())), watch),
        )
        if (options.json === true) printJson({ isOk: true, ...heading, tables, waiting })
        else
          process.stdout.write(
            `Moved from ${placeName(source)} to ${placeName(target)}: ${countsOf(tables)}, each table with the digest it had. What it came from stays as it was; start the server on the new place.\n`,
          )
        return 0
      } finally {
        await into.close()
      }
    } finally {
      await from.close()
    }
  })
}

/** What is handed in while the rows are read would be left behind, so servers and graders have to be stopped. */
async function requireAlone(database: Database): Promise<void> {
  if (database.kind === 'embedded') return
  const others = await database.inLongTransaction('read', (sql) =>
    sql.rows(
      `select pid::text from pg_stat_activity
       where datname = current_database() and backend_type = 'client backend' and pid <> pg_backend_pid()`,
    ),
  )
  if (others.length > 0)
    throw new CommandProblem(
      'database-in-use',
      `Found ${others.length} other connections to the database: stop its servers and graders first, or what comes in meanwhile is left behind.`,
    )
}
