import { readConfig, type Config } from '../config.ts'
import { openDatabase } from '../plugins/database.ts'
import type { Database } from '../store/database.ts'
import { requireThere } from './database-place.ts'

/**
 * Opens the database of a server for one command and closes it after. Throws a `CommandProblem` where there is none, as
 * opening would make one.
 */
export async function withServerDatabase<T>(
  data: string | undefined,
  use: (database: Database, config: Config) => Promise<T>,
): Promise<T> {
  const config = readConfig(process.env, data === undefined ? {} : { data })
  requireThere(config.database)
  const database = await openDatabase(config.database)
  try {
    return await use(database, config)
  } finally {
    await database.close()
  }
}
