import type { SqlMigrationAwareDriverAdapterFactory } from '@prisma/driver-adapter-utils'
import type { Prisma, PrismaClient } from '../generated/prisma/client.ts'

export type Transaction = Prisma.TransactionClient

/** What the queue library needs: a function that runs SQL, or an address to open connections of its own. */
export type QueueConnection =
  | { readonly executeSql: (text: string, values?: readonly unknown[]) => Promise<{ rows: unknown[] }> }
  | { readonly connectionString: string }

/** One PostgreSQL dialect, two places it can live: in this process over a folder, or on a server. */
export interface Database {
  readonly kind: 'embedded' | 'postgresql'
  readonly prisma: PrismaClient
  readonly queueConnection: QueueConnection
  /** Runs `use` with an adapter for the migration engine, and closes what it opened. */
  withAdapter<T>(use: (adapter: SqlMigrationAwareDriverAdapterFactory) => Promise<T>): Promise<T>
  /**
   * Hears what `tell` sends on a channel, from any process. `onGap` is called when something may have been missed.
   * Gives back the function that stops listening.
   */
  listen(channel: string, hear: (payload: string) => void, onGap: () => void): Promise<() => Promise<void>>
  close(): Promise<void>
}

/** Sends a short text (under 8000 bytes) to all listeners; inside a transaction it leaves at the commit. */
export async function tell(via: Transaction | PrismaClient, channel: string, payload: string): Promise<void> {
  await via.$executeRaw`select pg_notify(${channel}, ${payload})`
}

/** Wraps a transaction as the connection of a queue call, so that row and job are written together or not at all. */
export function queueConnectionOf(transaction: Transaction) {
  return {
    executeSql: async (text: string, values: unknown[] = []) => ({
      rows: await transaction.$queryRawUnsafe<unknown[]>(text, ...values),
    }),
  }
}

/**
 * Longest wait for a connection, and longest life of a transaction. Hand-ins of one person go one after the other, so
 * a rush may wait for longer than the library's two and five seconds.
 */
export const transactionOptions = { maxWait: 20_000, timeout: 20_000 }
