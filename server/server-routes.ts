import { setTimeout as pause } from 'node:timers/promises'
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Health, ProblemList } from './contract/index.ts'
import { engineVersion } from './engine.ts'
import { problemList } from './errors.ts'
import { countLiveThreads } from './store/live-graders.ts'
import { countWaiting } from './store/submissions.ts'
import { version } from './version.ts'

/** Milliseconds the database may take for the question of health; whoever watches over a server does not wait longer. */
const healthPatience = 1500

/** What anybody may ask of the server itself. */
export const serverRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/health',
    {
      schema: { tags: ['server'], summary: 'Health', response: { 200: Health, 503: Health } },
      config: { rateLimit: false },
    },
    async (_request, reply) => {
      const late = pause(healthPatience, null, { ref: false })
      const counts = Promise.all([countWaiting(app.database), countLiveThreads(app.database)])
      const [waiting, graderThreads] = (await Promise.race([counts.catch(() => null), late])) ?? [null, null]
      if (waiting === null) reply.status(503)
      return {
        status: waiting === null || graderThreads === 0 ? ('degraded' as const) : ('ok' as const),
        version,
        engine: engineVersion,
        database: app.database.kind,
        waiting,
        graderThreads,
      }
    },
  )

  app.get(
    '/api/problems',
    { schema: { tags: ['server'], summary: 'All error codes', response: { 200: ProblemList } } },
    async () => ({ problems: problemList() }),
  )
}
