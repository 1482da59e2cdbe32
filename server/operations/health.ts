import { setTimeout as pause } from 'node:timers/promises'
import type { Database } from '../store/database.ts'

/** Milliseconds the database may take for the question of health; whoever watches over a server does not wait longer. */
const healthPatience = 1500

/** What `ask` gives, or null where the database does not answer it in time. */
export async function answerInTime<T>(ask: Promise<T>): Promise<T | null> {
  const late = pause(healthPatience, null, { ref: false })
  return Promise.race([ask.catch(() => null), late])
}

/** Whether requests, or jobs, can be served now: the database answers. */
export async function isReady({ prisma }: Database): Promise<boolean> {
  return (await answerInTime(prisma.$queryRaw<unknown[]>`select 1`)) !== null
}
