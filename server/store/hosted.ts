import { PrismaPg } from '@prisma/adapter-pg'
import pg from 'pg'
import { PrismaClient } from '../generated/prisma/client.ts'
import { transactionOptions, type Database } from './database.ts'
import { hostedFault } from './database-fault.ts'
import { keepListening } from './listener.ts'
import { prepareSession, type PlainSql } from './plain-sql.ts'
import { isSetUpLockBusy, withSetUpLock } from './set-up-lock.ts'

export interface HostedOptions {
  readonly connectionString: string
  /** Connections of the pool; the queue and the listener have their own. */
  readonly connections?: number
}

/**
 * Milliseconds after which a connection that is not made, and a query that is not answered, count as failed: a database
 * that hangs must not hold requests for ever. Migrations take as long as they take.
 */
const patience = { connectionTimeoutMillis: 3000, query_timeout: 15_000 } as const

export async function openHosted(options: HostedOptions): Promise<Database> {
  const { connectionString } = options
  // Without the zone, times filled in by a server whose zone is not UTC are read back shifted.
  const settings = { connectionString, options: '-c TimeZone=UTC' }
  await requireUsable(connectionString)
  const adapter = new SafePg({ ...settings, ...patience, max: options.connections ?? 10 })
  const prisma = new PrismaClient({ adapter, transactionOptions })
  const listeners = new Set<() => Promise<void>>()
  return {
    kind: 'postgresql',
    prisma,
    withAdapter: async (use) => {
      // The engine locks the database in the session of one connection: of a pool it would unlock in another one, and
      // the lock would be held for as long as the pool lives.
      const single = new SafePg({ ...settings, max: 1 })
      try {
        return await use(single)
      } finally {
        await single.disposeAll()
      }
    },
    inLongTransaction: (mode, use) => inOwnTransaction(connectionString, mode, use),
    exclusively: async (use) =>
      withSetUpLock(connectionString, use).catch((error: unknown) => {
        throw isSetUpLockBusy(error) ? hostedFault(error, connectionString) : error
      }),
    queueConnection: { connectionString, ...patience },
    listen: async (channel, hear, onGap) => {
      const stop = await keepListening({ connectionString, channel, hear, onGap })
      listeners.add(stop)
      return async () => {
        listeners.delete(stop)
        await stop()
      }
    },
    close: async () => {
      await Promise.all([...listeners].map((stop) => stop()))
      await prisma.$disconnect()
    },
  }
}

/** gen_random_uuid, which the queue's tables use, is part of PostgreSQL since 13. */
const oldestVersion = 13

/** Throws a `DatabaseFault` that says in one line why the server cannot be used. */
async function requireUsable(connectionString: string): Promise<void> {
  const client = new pg.Client({ connectionString, ...patience })
  client.on('error', () => {})
  try {
    await client.connect()
    const { rows } = await client.query<{ version: string }>("select current_setting('server_version') as version")
    const version = rows[0]?.version ?? ''
    if (Number.parseInt(version, 10) < oldestVersion)
      throw new Error(`it is PostgreSQL ${version}, and Hexcairn needs ${oldestVersion} or newer`)
  } catch (error) {
    throw hostedFault(error, connectionString)
  } finally {
    await client.end().catch(() => {})
  }
}

async function inOwnTransaction<T>(
  connectionString: string,
  mode: 'read' | 'write',
  use: (sql: PlainSql) => Promise<T>,
): Promise<T> {
  const client = new pg.Client({ connectionString, connectionTimeoutMillis: patience.connectionTimeoutMillis })
  // Told by the next query too; without a listener the process would end here.
  client.on('error', () => {})
  await client.connect()
  const sql: PlainSql = {
    rows: async (text, values = []) => {
      const types = { getTypeParser: () => String }
      const result = await client.query<(string | null)[]>({ text, values: [...values], rowMode: 'array', types })
      return result.rows
    },
  }
  try {
    await client.query('begin')
    await prepareSession(sql, mode)
    const result = await use(sql)
    await client.query('commit')
    return result
  } finally {
    // Without a commit the end of the connection takes everything back.
    await client.end().catch(() => {})
  }
}

// The adapter splits a script at every ';' and sends the pieces one by one: function bodies break, and a migration
// that fails stays half applied. One query is one implicit transaction.
export class SafePg extends PrismaPg {
  readonly #connected: { dispose(): Promise<void> }[] = []

  async disposeAll(): Promise<void> {
    await Promise.all(this.#connected.splice(0).map((adapter) => adapter.dispose()))
  }

  override async connect() {
    const adapter = await super.connect()
    this.#connected.push(adapter)
    const raising = adapter as unknown as { onError(error: unknown): never }
    adapter.executeScript = async (script) => {
      try {
        await adapter.underlyingDriver().query(script)
      } catch (error) {
        raising.onError(error)
      }
    }
    return adapter
  }
  // With a connection string the adapter's shadow database is the real one.
  override connectToShadowDb(): never {
    throw new Error('Migrations are written and compared on the embedded database.')
  }
}
