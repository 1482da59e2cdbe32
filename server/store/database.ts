import type { SqlMigrationAwareDriverAdapterFactory } from '@prisma/driver-adapter-utils'
import type { Prisma, PrismaClient } from '../generated/prisma/client.ts'
import type { PlainSql } from './plain-sql.ts'

export type Transaction = Prisma.TransactionClient

/** What the queue library needs: a function that runs SQL, or an address to open connections of its own. */
export type QueueConnection =
  | { readonly executeSql: (text: string, values?: readonly unknown[]) => Promise<{ rows: unknown[] }> }
  | {
      readonly connectionString: string
      readonly connectionTimeoutMillis: number
      readonly query_timeout: number
    }

/** One PostgreSQL dialect, two places it can live: in this process over a folder, or on a server. */
export interface Database {
  readonly kind: 'embedded' | 'postgresql'
  readonly prisma: PrismaClient
  readonly queueConnection: QueueConnection
  /** Runs `use` with an adapter for the migration engine, and closes what it opened. */
  withAdapter<T>(use: (adapter: SqlMigrationAwareDriverAdapterFactory) => Promise<T>): Promise<T>
  /**
   * Runs `use` in one transaction that may take as long as it takes: for work on whole tables. The embedded database does
   * nothing else meanwhile.
   */
  inLongTransaction<T>(mode: 'read' | 'write', use: (sql: PlainSql) => Promise<T>): Promise<T>
  /** Runs `use` while no other process does the same on this database: for what is set up once. */
  exclusively<T>(use: () => Promise<T>): Promise<T>
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

/** Codes of Prisma for a database that cannot be reached or does not answer. */
const prismaAway = ['P1001', 'P1002', 'P1008', 'P1017', 'P2024', 'P2028']
/** PostgreSQL's classes and codes of a connection that broke, a server that stops, starts or is full (appendix A of its manual). */
const sqlAway = /^(08...|57P0[123]|53300)$/
/** What the driver says without a code. */
const driverAway =
  /connection terminated|timeout exceeded when trying to connect|query read timeout|client has encountered a connection error|server closed the connection/i
const socketAway = [
  'ECONNREFUSED',
  'ECONNRESET',
  'ENOTFOUND',
  'EAI_AGAIN',
  'EHOSTUNREACH',
  'ENETUNREACH',
  'ETIMEDOUT',
  'EPIPE',
]

/** Whether an error says that the database is away for now, and no more: what was asked may be asked again. */
export function isDatabaseAway(error: unknown, depth = 0): boolean {
  if (typeof error !== 'object' || error === null || depth > 5) return false
  const { code, originalCode, message, originalMessage, cause, meta } = error as Record<string, unknown>
  for (const each of [code, originalCode]) {
    if (typeof each !== 'string') continue
    if (prismaAway.includes(each) || socketAway.includes(each) || sqlAway.test(each)) return true
  }
  for (const each of [message, originalMessage]) if (typeof each === 'string' && driverAway.test(each)) return true
  const inner = (meta as { readonly driverAdapterError?: unknown } | undefined)?.driverAdapterError
  return isDatabaseAway(cause, depth + 1) || isDatabaseAway(inner, depth + 1)
}
