import pg from 'pg'

/** Any fixed number will do, as long as nothing else in the database takes it. */
const lockKey = 0x6865_7863
/** Longest wait for another process; the largest migration so far takes a second. */
const patience = '180s'

/** Whether the lock was held by another process for longer than anybody waits (lock_not_available). */
export function isSetUpLockBusy(error: unknown): boolean {
  return (error as { readonly code?: unknown } | null)?.code === '55P03'
}

/**
 * Runs `use` while no other process of any computer runs one on this database: tables and queues are made once. The lock
 * belongs to a connection of its own, so it is free again however this process ends.
 */
export async function withSetUpLock<T>(connectionString: string, use: () => Promise<T>): Promise<T> {
  const client = new pg.Client({ connectionString, connectionTimeoutMillis: 3000 })
  // Told by the next query too; without a listener the process would end here.
  client.on('error', () => {})
  await client.connect()
  try {
    await client.query(`set lock_timeout = '${patience}'`)
    await client.query('select pg_advisory_lock($1)', [lockKey])
    return await use()
  } finally {
    await client.end().catch(() => {})
  }
}
