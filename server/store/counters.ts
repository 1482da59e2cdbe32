import { RateLimiterPostgres } from 'rate-limiter-flexible'
import type { Database } from './database.ts'

export interface CounterOptions {
  /** Begins the keys of this counter. */
  readonly name: string
  /** A count begins with its first `add` and ends so many seconds later. */
  readonly seconds: number
}

export interface Count {
  readonly count: number
  /** Seconds until it ends, a part of one counting as a whole. */
  readonly secondsLeft: number
}

/** Counts by key, shared by all servers on one database. */
export interface Counter {
  read(key: string): Promise<Count>
  /** Counts `by` more, whoever else counts at the same moment. */
  add(key: string, by?: number): Promise<Count>
  /** Sets the count to 1 for so many seconds. */
  hold(key: string, seconds: number): Promise<void>
  clear(key: string): Promise<void>
}

interface Row {
  readonly points: number
  readonly expire: bigint | null
}

export function openCounter({ prisma }: Database, { name, seconds }: CounterOptions): Counter {
  const limiter = new RateLimiterPostgres({
    // The one way to the database that both kinds have; the library asks for no more of it than this.
    storeClient: {
      query: async ({ text, values }: { readonly text: string; readonly values: readonly unknown[] }) => {
        const found = await prisma.$queryRawUnsafe<Row[]>(text, ...values)
        const rows = found.map(({ points, expire }) => ({ points, expire: expire === null ? null : Number(expire) }))
        return { rows, rowCount: rows.length }
      },
    },
    storeType: 'client',
    tableName: 'ThrottleCount',
    tableCreated: true,
    clearExpiredByTimeout: false,
    keyPrefix: name,
    points: Number.MAX_SAFE_INTEGER,
    duration: seconds,
  })
  return {
    read: async (key) => countOf(await limiter.get(key)),
    add: async (key, by = 1) => countOf(await limiter.penalty(key, by)),
    hold: async (key, holdSeconds) => {
      await limiter.set(key, 1, holdSeconds)
    },
    clear: async (key) => {
      await limiter.delete(key)
    },
  }
}

function countOf(found: { readonly consumedPoints: number; readonly msBeforeNext: number } | null): Count {
  if (found === null) return { count: 0, secondsLeft: 0 }
  return { count: found.consumedPoints, secondsLeft: Math.ceil(Math.max(0, found.msBeforeNext) / 1000) }
}

export async function dropOldCounts({ prisma }: Database, now: Date): Promise<number> {
  const { count } = await prisma.throttleCount.deleteMany({ where: { expire: { lt: now.getTime() } } })
  return count
}
