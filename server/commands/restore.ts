import { readLines } from '../backup/file.ts'
import { checkLines } from '../backup/load-lines.ts'
import { beginRestore, restore } from '../backup/restore.ts'
import { openPlace, placeName, placeOf } from './database-place.ts'
import { countsOf, operatorWork } from './operator-work.ts'
import { CommandProblem, printJson } from './output.ts'
import { existsSync } from 'node:fs'

export interface RestoreOptions {
  readonly data?: string
  readonly check?: boolean
  readonly json?: boolean
}

/** `hexcairn restore`: a backup into an empty folder or database; with `--check` it is only read and held against its digests. */
export async function restoreCommand(file: string, options: RestoreOptions): Promise<number> {
  if (file !== '-' && !existsSync(file)) throw new CommandProblem('file-not-found', `There is no file ${file}.`)
  if (options.check === true) {
    const { heading, tables } = await operatorWork('The backup was not read to its end.', ({ signal }) =>
      checkLines(readLines(file), { signal }),
    )
    if (options.json === true) printJson({ isOk: true, ...heading, tables })
    else process.stdout.write(`The backup of ${heading.madeAt} is whole: ${countsOf(tables)}.\n`)
    return 0
  }
  const place = placeOf(options.data)
  return operatorWork('No row was restored.', async (watch) => {
    const begun = await beginRestore(readLines(file))
    const database = await openPlace(place)
    try {
      const { heading, tables, waiting, migrated } = await restore(database, begun, watch)
      if (options.json === true) printJson({ isOk: true, ...heading, tables, waiting, migrated })
      else
        process.stdout.write(
          `The backup of ${heading.madeAt} is in ${placeName(place)}: ${countsOf(tables)}, each table with the digest it had. ${waiting} hand-ins wait for a grader.\n`,
        )
      return 0
    } finally {
      await database.close()
    }
  })
}
