import { openQueue } from '../grader/queue.ts'
import type { Database } from '../store/database.ts'
import { DatabaseFault } from '../store/database-fault.ts'
import { migrate, migrationNames } from '../store/migrations.ts'
import { enqueueWaiting } from '../store/waiting-work.ts'
import { BackupFault, parseHeading, type Heading, type TableEnd } from './document.ts'
import { requireEmpty } from './empty-place.ts'
import { loadLines } from './load-lines.ts'
import type { Watch } from './progress.ts'

/** A setting that stands in a database from the moment its rows are there until its queue is, too. */
export const unfinishedMark = 'restore-unfinished'

export interface Restored {
  readonly heading: Heading
  readonly tables: readonly TableEnd[]
  /** Hand-ins that wait for a grader. */
  readonly waiting: number
  /** Migrations that came after the backup. */
  readonly migrated: readonly string[]
}

/** Throws where a restore was broken off: the rows are there, the queue is not. */
export function requireFinished(mark: string | null): void {
  if (mark !== null)
    throw new DatabaseFault(
      'A restore into this database was broken off. Empty it, or choose another place, and restore the backup again.',
    )
}

/** A backup of which the first line was read, and found to be one that this program can bring back. */
export interface Begun {
  readonly heading: Heading
  /** All of its lines, the first one too. */
  readonly lines: AsyncIterable<string>
}

/** Reads the first line: what cannot be restored is known before a place for it is made. */
export async function beginRestore(lines: AsyncIterable<string>): Promise<Begun> {
  const reader = lines[Symbol.asyncIterator]()
  const first = await reader.next()
  if (first.done === true) throw new BackupFault('The backup is empty.')
  const heading = parseHeading(first.value)
  requireKnown(heading)
  return { heading, lines: withFirst(first.value, reader) }
}

/**
 * Brings a backup into an empty database: the tables as they were when it was made, its rows, held against their digests,
 * then the migrations that came later, and a job for each hand-in that waits. The rows come all or not at all.
 */
export async function restore(
  database: Database,
  { heading: { migrations }, lines }: Begun,
  watch: Watch = {},
): Promise<Restored> {
  await requireEmpty(database, migrations)
  await migrate(database, undefined, migrations.at(-1))
  const { heading, tables } = await database.inLongTransaction('write', async (sql) => {
    const checked = await loadLines(sql, lines, watch)
    await sql.rows(`insert into "Setting" (key, value) values ($1, $2)`, [unfinishedMark, checked.heading.madeAt])
    return checked
  })
  const migrated = await migrate(database)
  const queue = await openQueue(database, { graderSeconds: 60, onError: () => {}, isSupervising: false })
  try {
    const waiting = await enqueueWaiting(
      database,
      {
        grade: (tx, id, owner) => queue.grades.enqueue(tx, id, { owner }),
        diagnose: (tx, id, owner) => queue.diagnoses.enqueue(tx, id, { owner }),
      },
      async (tx) => {
        await tx.setting.delete({ where: { key: unfinishedMark } })
      },
    )
    return { heading, tables, waiting, migrated }
  } finally {
    await queue.close()
  }
}

/** Throws unless a backup was made by this program or an older one of its line. */
function requireKnown({ migrations, hexcairn: madeBy }: Heading): void {
  const known = migrationNames()
  const last = migrations.at(-1) ?? ''
  const newer = migrations.filter((name) => !known.includes(name))
  if (newer.length > 0)
    throw new BackupFault(
      `The backup was made by a newer Hexcairn (${madeBy}, with ${newer.join(', ')}). Restore it with that one, or a later one.`,
    )
  if (migrations.join(' ') !== known.filter((name) => name <= last).join(' '))
    throw new BackupFault('The backup has gone through other changes than this program knows.')
}

async function* withFirst(first: string, rest: AsyncIterator<string>): AsyncGenerator<string> {
  yield first
  for (;;) {
    const { value, done } = await rest.next()
    if (done === true) return
    yield value
  }
}
