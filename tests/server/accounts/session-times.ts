import type { Database } from '../../../server/store/database.ts'
import { sessionTimes } from '../../../server/plugins/sessions.ts'
import * as store from '../../../server/store/sessions.ts'

/** Minutes after its start at which a session is used, and whether it is alive at the last. */
export const sessionTimesForTest: [string, readonly number[], boolean][] = [
  ['lives for an hour without use', [60], true],
  ['ends after an hour without use', [61], false],
  ['lives on while it is used', [50, 100, 150, 200], true],
  ['ends after twelve hours in any case', Array.from({ length: 15 }, (_, i) => (i + 1) * 50), false],
]

export async function readSession(database: Database, minutes: readonly number[]): Promise<boolean> {
  const id = `session ${Math.random()}`
  const start = Date.now()
  await store.writeSession(database, id, {})
  let isAlive = false
  for (const minute of minutes)
    isAlive = (await store.readSession(database, id, sessionTimes, new Date(start + minute * 60_000))) !== null
  return isAlive
}
