import { openQueue } from '../grader/queue.ts'
import { migrate } from '../store/migrations.ts'
import { openPlace, placeName, placeOf } from './database-place.ts'
import { printJson } from './output.ts'

export interface MigrateOptions {
  readonly data?: string
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
