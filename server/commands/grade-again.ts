import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { readConfig } from '../config.ts'
import { openQueue } from '../grader/queue.ts'
import { openDatabase } from '../plugins/database.ts'
import { gradeAgain, listFaults } from '../store/grade-again.ts'
import { CommandProblem } from './output.ts'

export interface GradeAgainOptions {
  readonly data?: string
  readonly all?: boolean
}

/** `hexcairn grade-again`: puts hand-ins on which the grader failed back into the queue; 1 where one was no such hand-in. */
export async function gradeAgainCommand(ids: readonly string[], options: GradeAgainOptions): Promise<number> {
  if (ids.length === 0 && options.all !== true)
    throw new CommandProblem('nothing-named', 'Found no hand-in, allowed ids of hand-ins, or --all.')
  const config = readConfig(process.env, options.data === undefined ? {} : { data: options.data })
  const folder = config.database.kind === 'embedded' ? config.database.folder : null
  // Opening makes a database where there is none, and there can be nothing to grade in that.
  if (folder !== null && !existsSync(join(folder, 'PG_VERSION')))
    throw new CommandProblem(
      'no-database',
      `Found no database in ${folder}, allowed the folder of a server, or DATABASE_URL.`,
    )
  const database = await openDatabase(config.database)
  const faults: Error[] = []
  const queue = await openQueue(database, {
    graderSeconds: config.limits.graderSeconds,
    onError: (error) => faults.push(error),
    isSupervising: false,
  })
  try {
    let code = 0
    for (const id of options.all === true ? await listFaults(database) : ids) {
      const isBack = await gradeAgain(database, id, null, (tx, submissionId, owner) =>
        queue.grades.enqueue(tx, submissionId, { owner }),
      )
      if (!isBack) code = 1
      process.stdout.write(`${id} ${isBack ? 'waits again.' : 'is no hand-in on which the grader failed.'}\n`)
    }
    return code
  } finally {
    await queue.close()
    await database.close()
  }
}
