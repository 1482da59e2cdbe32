import { PrismaPg } from '@prisma/adapter-pg'
import pg from 'pg'
import { setTimeout as pause } from 'node:timers/promises'
import { PrismaClient } from '../generated/prisma/client.ts'
import { transactionOptions, type Database } from './database.ts'

export interface HostedOptions {
  readonly connectionString: string
  /** Connections of the pool; the queue and the listener have their own. */
  readonly connections?: number
}

export async function openHosted(options: HostedOptions): Promise<Database> {
  const { connectionString } = options
  // Without the zone, times filled in by a server whose zone is not UTC are read back shifted.
  const settings = { connectionString, options: '-c TimeZone=UTC' }
  const adapter = new SafePg({ ...settings, max: options.connections ?? 10 })
  const prisma = new PrismaClient({ adapter, transactionOptions })
  await prisma.$queryRaw`select 1`
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
    queueConnection: { connectionString },
    listen: async (channel, hear, onGap) => {
      const stop = await listenOn(connectionString, channel, hear, onGap)
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

/** A connection that only listens, opened again when it breaks. */
async function listenOn(
  connectionString: string,
  channel: string,
  hear: (payload: string) => void,
  onGap: () => void,
): Promise<() => Promise<void>> {
  let isStopped = false
  let client: pg.Client | null = null

  async function open(): Promise<void> {
    const next = new pg.Client({ connectionString, keepAlive: true })
    next.on('error', () => {})
    next.on('notification', (message) => hear(message.payload ?? ''))
    next.on('end', () => {
      client = null
      if (!isStopped) void reopen()
    })
    await next.connect()
    await next.query(`LISTEN ${next.escapeIdentifier(channel)}`)
    client = next
  }

  async function reopen(): Promise<void> {
    for (let wait = 200; !isStopped; wait = Math.min(wait * 2, 5000)) {
      await pause(wait, undefined, { ref: false })
      try {
        await open()
        onGap()
        return
      } catch {
        // The server may still be starting; the next round waits longer.
      }
    }
  }

  await open()
  return async () => {
    isStopped = true
    await client?.end()
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
