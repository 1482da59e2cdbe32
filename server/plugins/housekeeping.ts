import fp from 'fastify-plugin'
import { deviceSeconds } from '../accounts/device-cookie.ts'
import { dropOldCounts } from '../store/counters.ts'
import type { Database } from '../store/database.ts'
import { dropOldDevices } from '../store/known-devices.ts'
import { dropOldRows } from '../store/old-rows.ts'
import { dropOldSessions } from '../store/sessions.ts'
import { sessionTimes } from './sessions.ts'

const sweepMs = 600_000

/** Removes what has run out: sessions, counts of failures, browsers not seen for half a year, used keys and tokens. */
export async function tidy(database: Database, now: Date): Promise<void> {
  await dropOldSessions(database, sessionTimes, now)
  await dropOldCounts(database, now)
  await dropOldDevices(database, new Date(now.getTime() - deviceSeconds * 1000))
  await dropOldRows(database, now)
}

/** Every ten minutes; several servers may do it at once. */
export const housekeepingPlugin = fp(
  async (app) => {
    const sweep = setInterval(() => {
      tidy(app.database, new Date()).catch((error: unknown) => app.log.warn(error, 'old rows were not removed'))
    }, sweepMs)
    sweep.unref()
    app.addHook('onClose', async () => clearInterval(sweep))
  },
  { name: 'housekeeping', dependencies: ['database', 'sessions', 'throttle'] },
)
