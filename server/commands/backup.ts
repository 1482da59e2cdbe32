import { createWriteStream, existsSync, renameSync, rmSync, statSync } from 'node:fs'
import { open } from 'node:fs/promises'
import type { Writable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { backupLines } from '../backup/backup-lines.ts'
import { readLines, writeLines } from '../backup/file.ts'
import { checkLines } from '../backup/load-lines.ts'
import type { Watch } from '../backup/progress.ts'
import { askForBackup } from '../operations/control.ts'
import type { Database } from '../store/database.ts'
import { FolderInUse } from '../store/folder-lock.ts'
import { openExisting, placeOf, type Place } from './database-place.ts'
import { reasonOf } from './file-fault.ts'
import { countsOf, operatorWork } from './operator-work.ts'
import { CommandProblem, printJson } from './output.ts'

export interface BackupOptions {
  readonly data?: string
  readonly json?: boolean
}

/** `hexcairn backup`: everything in the database as one file, of a server that runs or that is stopped. */
export async function backupCommand(file: string, options: BackupOptions): Promise<number> {
  const place = placeOf(options.data)
  if (file === '-') {
    if (options.json === true)
      throw new CommandProblem('output-taken', '--json and a backup cannot both go to standard output: name a file.')
    await operatorWork('What was written is cut off.', (watch) => writeBackup(place, process.stdout, watch))
    return 0
  }
  if (existsSync(file))
    throw new CommandProblem('output-taken', `${file} is there already: name another file, or remove that one.`)
  const part = `${file}.part`
  return operatorWork('Nothing was written.', async (watch) => {
    try {
      await writeBackup(place, await openPart(part), watch)
      const { heading, tables } = await checkLines(readLines(part), { signal: watch.signal })
      await toDisk(part)
      renameSync(part, file)
      const bytes = statSync(file).size
      if (options.json === true) printJson({ isOk: true, file, bytes, ...heading, tables })
      else process.stdout.write(`${file}: ${countsOf(tables)}, ${bytes} bytes, read back and found whole.\n`)
      return 0
    } finally {
      rmSync(part, { force: true })
    }
  })
}

async function writeBackup(place: Place, to: Writable, watch: Watch & { readonly signal: AbortSignal }): Promise<void> {
  let database: Database
  try {
    database = await openExisting(place)
  } catch (error) {
    // A server has the folder open: it is the one that can read it.
    const answer = error instanceof FolderInUse ? await askForBackup(error.folder, watch.signal) : null
    if (answer === null) throw error
    process.stderr.write('The server that has the folder open makes the backup.\n')
    return pipeline(answer, to, { signal: watch.signal })
  }
  try {
    await database.inLongTransaction('read', (sql) =>
      writeLines(backupLines(sql, database.kind, new Date(), watch), to, watch.signal),
    )
  } finally {
    await database.close()
  }
}

/** A new file that is its owner's alone, for password digests, keys and marks stand in it. */
async function openPart(part: string): Promise<Writable> {
  rmSync(part, { force: true })
  const stream = createWriteStream(part, { flags: 'wx', mode: 0o600 })
  await new Promise<void>((resolve, reject) => {
    stream.once('open', () => resolve())
    stream.once('error', (error) =>
      reject(new CommandProblem('cannot-write', `${part} cannot be written: ${reasonOf(error)}.`)),
    )
  })
  return stream
}

async function toDisk(file: string): Promise<void> {
  const handle = await open(file, 'r+')
  await handle.sync()
  await handle.close()
}
