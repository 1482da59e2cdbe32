import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { readConfig, type Config } from '../config.ts'
import { openDatabase } from '../plugins/database.ts'
import type { Database } from '../store/database.ts'
import { CommandProblem } from './output.ts'

/**
 * Opens the database of a server for one command and closes it after. Throws a `CommandProblem` where there is none, as
 * opening would make one.
 */
export async function withServerDatabase<T>(
  data: string | undefined,
  use: (database: Database, config: Config) => Promise<T>,
): Promise<T> {
  const config = readConfig(process.env, data === undefined ? {} : { data })
  const folder = config.database.kind === 'embedded' ? config.database.folder : null
  if (folder !== null && !existsSync(join(folder, 'PG_VERSION')))
    throw new CommandProblem(
      'no-database',
      `Found no database in ${folder}, allowed the folder of a server, or DATABASE_URL.`,
    )
  const database = await openDatabase(config.database)
  try {
    return await use(database, config)
  } finally {
    await database.close()
  }
}
