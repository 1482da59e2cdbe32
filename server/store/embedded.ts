import { PGlite } from '@electric-sql/pglite'
import { accessSync, chmodSync, constants, existsSync, mkdirSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { SqlDriverAdapter } from '@prisma/driver-adapter-utils'
import { PrismaPGlite } from 'pglite-prisma-adapter'
import { PrismaClient } from '../generated/prisma/client.ts'
import { transactionOptions, type Database } from './database.ts'
import { folderFault } from './database-fault.ts'
import { lockFolder, type FolderLock } from './folder-lock.ts'
import { prepareSession, type PlainSql } from './plain-sql.ts'

export interface EmbeddedOptions {
  /** Folder of the data files; null keeps everything in memory. */
  readonly folder: string | null
  /** Gives a dump to begin from where there is no database yet, or null. */
  readonly template?: () => Promise<Blob | null>
}

export async function openEmbedded(options: EmbeddedOptions): Promise<Database> {
  let lock: FolderLock | null = null
  if (options.folder !== null) {
    readyFolder(options.folder)
    lock = await lockFolder(options.folder)
    dropHalfUnpacked(options.folder)
  }
  const { folder } = options
  const isNew = folder === null || !existsSync(join(folder, 'PG_VERSION'))
  const dump = isNew ? ((await options.template?.()) ?? null) : null
  if (folder !== null && dump !== null) writeFileSync(join(folder, unpackingMark), '')
  const lite = await PGlite.create({
    startParams: small,
    ...(options.folder === null ? {} : { dataDir: options.folder }),
    ...(dump === null ? {} : { loadDataDir: dump }),
  }).catch(async (error: unknown) => {
    await lock?.release()
    throw options.folder === null ? error : folderFault(error, options.folder)
  })
  if (folder !== null) rmSync(join(folder, unpackingMark), { force: true })
  // PostgreSQL gives a few files a mode of its own while it starts.
  if (options.folder !== null) keepToOwner(options.folder)
  return databaseOver(lite, async () => {
    if (!lite.closed) await lite.close()
    await lock?.release()
  })
}

/**
 * One session needs a fraction of the buffers that PostgreSQL sets aside for a hundred (its default of 128 MB, here taken at the
 * start and never given back); files of the folder stay in the cache of the system anyway.
 */
const small = [...PGlite.defaultStartParams, '-c', 'shared_buffers=16MB', '-c', 'wal_buffers=1MB']

function databaseOver(lite: PGlite, end: () => Promise<void>): Database {
  const adapter = new SafePGlite(lite)
  const prisma = new PrismaClient({ adapter, transactionOptions })
  return {
    kind: 'embedded',
    prisma,
    withAdapter: (use) => use(adapter),
    inLongTransaction: (mode, use) =>
      lite.transaction(async (transaction) => {
        const sql: PlainSql = {
          rows: async (text, values = []) => {
            const result = await transaction.query<(string | null)[]>(text, [...values], { rowMode: 'array' })
            return result.rows
          },
        }
        await prepareSession(sql, mode)
        return use(sql)
      }),
    // No other process has it open.
    exclusively: (use) => use(),
    queueConnection: { executeSql: (text, values) => runQueueSql(lite, text, values) },
    listen: async (channel, hear) => lite.listen(channel, hear),
    close: async () => {
      await prisma.$disconnect()
      await end()
    },
  }
}

/** Stands in a folder while a template is unpacked there: what a process that was killed meanwhile left is worth nothing. */
const unpackingMark = 'hexcairn-unpacking'

/** What PostgreSQL and the lock keep in a data folder; it is whole once PG_VERSION stands there. */
const ownEntry = /^(PG_VERSION|base|global|pg_\w+|postgresql\S*|postmaster\S*|hexcairn\S*|lost\+found)$/

/** Throws a `DatabaseFault` for a folder that cannot be made or written, or that holds something else. */
function readyFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true })
    const entries = readdirSync(folder)
    const stranger = entries.includes('PG_VERSION') ? undefined : entries.find((name) => !ownEntry.test(name))
    if (stranger !== undefined) throw new Error(`it holds other things, such as '${stranger}'`)
    accessSync(folder, constants.W_OK | constants.X_OK)
    keepToOwner(folder)
  } catch (error) {
    throw folderFault(error, folder)
  }
}

function dropHalfUnpacked(folder: string): void {
  if (!existsSync(join(folder, unpackingMark))) return
  for (const name of readdirSync(folder))
    if (!name.startsWith('hexcairn')) rmSync(join(folder, name), { recursive: true })
}

/**
 * Answers, marks and password hashes stand in the folder, so it is its owner's alone: folders
 * 0700, files 0600, those that the database will make too, for everything that this process writes from here on.
 */
function keepToOwner(folder: string): void {
  process.umask(0o077)
  chmodSync(folder, 0o700)
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    if (entry.isDirectory() || entry.isFile())
      chmodSync(join(entry.parentPath, entry.name), entry.isDirectory() ? 0o700 : 0o600)
  }
}

/** Everything in the database as one file, for a template that tests begin from. */
export async function dumpEmbedded(prepare: (database: Database) => Promise<void>): Promise<Blob> {
  const lite = await PGlite.create()
  const database = databaseOver(lite, async () => lite.close())
  await prepare(database)
  const dump = await lite.dumpDataDir('gzip')
  await database.close()
  return dump
}

// The queue library sends "BEGIN; …; COMMIT" as one text: an error inside would leave the only session in a failed transaction.
async function runQueueSql(lite: PGlite, text: string, values?: readonly unknown[]): Promise<{ rows: unknown[] }> {
  if (values !== undefined && values.length > 0) return lite.query(text, [...values])
  try {
    const results = await lite.exec(text)
    return { rows: results.at(-1)?.rows ?? [] }
  } catch (error) {
    await lite.exec('ROLLBACK').catch(() => {})
    throw error
  }
}

// The adapter does not await a script: a migration that fails would be recorded as applied.
export class SafePGlite extends PrismaPGlite {
  readonly #lite: PGlite
  constructor(lite: PGlite) {
    super(lite)
    this.#lite = lite
  }
  override async connect(): Promise<SqlDriverAdapter> {
    return withAwaitedScripts(await super.connect(), this.#lite)
  }
  override async connectToShadowDb(): Promise<SqlDriverAdapter> {
    const lite = await PGlite.create()
    const shadow = await new SafePGlite(lite).connect()
    shadow.dispose = () => lite.close()
    return shadow
  }
}

function withAwaitedScripts(adapter: SqlDriverAdapter, lite: PGlite): SqlDriverAdapter {
  const raising = adapter as SqlDriverAdapter & { onError(error: unknown): never }
  adapter.executeScript = async (script) => {
    try {
      await lite.exec(script)
    } catch (error) {
      await lite.exec('ROLLBACK').catch(() => {})
      raising.onError(error)
    }
  }
  return adapter
}
