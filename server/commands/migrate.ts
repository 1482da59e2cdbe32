import { openQueue } from '../grader/queue.ts'
import type { Database } from '../store/database.ts'
import { migrate } from '../store/migrations.ts'
import { grantServerRights } from '../store/server-rights.ts'
import { openPlace, placeName, placeOf } from './database-place.ts'
import { CommandProblem, printJson } from './output.ts'

export interface MigrateOptions {
  readonly data?: string
  /** User of the PostgreSQL server that may then work with the tables, and no more. */
  readonly serverUser?: string
  readonly json?: boolean
}

/** `hexcairn migrate`: brings tables and queues to this program's version, or makes them, without serving anything. */
export async function migrateCommand(options: MigrateOptions): Promise<number> {
  const place = placeOf(options.data)
  const database = await openPlace(place)
  try {
    const applied = await migrate(database)
    const queue = await openQueue(database, { graderSeconds: 60, onError: () => {}, isSupervising: false })
    await queue.close()
    if (options.serverUser !== undefined) await grantTo(database, options.serverUser)
    if (options.json === true) printJson({ isOk: true, applied })
    else {
      for (const name of applied) process.stdout.write(`${name} applied\n`)
      process.stdout.write(
        `${placeName(place).replace(/^t/, 'T')} has the tables of this Hexcairn${applied.length === 0 ? ' already' : ''}.\n`,
      )
    }
    return 0
  } finally {
    await database.close()
  }
}

async function grantTo(database: Database, user: string): Promise<void> {
  if (database.kind !== 'postgresql')
    throw new CommandProblem('no-users', 'Found --server-user with a folder, which has no users: set DATABASE_URL.')
  try {
    await grantServerRights(database, user)
  } catch (error) {
    // undefined_object (appendix A of PostgreSQL's manual)
    if ((error as { code?: unknown }).code !== '42704') throw error
    throw new CommandProblem('no-user', `The PostgreSQL server has no user '${user}': make it with createuser.`)
  }
}
