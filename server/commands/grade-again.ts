import type { Config } from '../config.ts'
import { openQueue } from '../grader/queue.ts'
import type { Database } from '../store/database.ts'
import { gradeAgain, listFaults } from '../store/grade-again.ts'
import { CommandProblem } from './output.ts'
import { withServerDatabase } from './server-database.ts'

export interface GradeAgainOptions {
  readonly data?: string
  readonly all?: boolean
}

/** `hexcairn grade-again`: puts hand-ins on which the grader failed back into the queue; 1 where one was no such hand-in. */
export async function gradeAgainCommand(ids: readonly string[], options: GradeAgainOptions): Promise<number> {
  if (ids.length === 0 && options.all !== true)
    throw new CommandProblem('nothing-named', 'Found no hand-in, allowed ids of hand-ins, or --all.')
  return withServerDatabase(options.data, (database, config) => putBack(database, config, ids, options.all === true))
}

async function putBack(database: Database, config: Config, ids: readonly string[], isAll: boolean): Promise<number> {
  const faults: Error[] = []
  const queue = await openQueue(database, {
    graderSeconds: config.limits.graderSeconds,
    onError: (error) => faults.push(error),
    isSupervising: false,
  })
  try {
    let code = 0
    for (const id of isAll ? await listFaults(database) : ids) {
      const isBack = await gradeAgain(database, id, null, (tx, submissionId, owner) =>
        queue.grades.enqueue(tx, submissionId, { owner }),
      )
      if (!isBack) code = 1
      process.stdout.write(`${id} ${isBack ? 'waits again.' : 'is no hand-in on which the grader failed.'}\n`)
    }
    return code
  } finally {
    await queue.close()
  }
}
