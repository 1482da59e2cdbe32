import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Health, Probe, ProblemList } from './contract/index.ts'
import { engineVersion } from './engine.ts'
import { problemList } from './errors.ts'
import { answerInTime, isReady } from './operations/health.ts'
import { countLiveThreads } from './store/live-graders.ts'
import { countWaiting } from './store/submissions.ts'
import { version } from './version.ts'

/** What anybody may ask of the server itself. */
export const serverRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/health',
    {
      schema: { tags: ['server'], summary: 'Health', response: { 200: Health, 503: Health } },
      config: { rateLimit: false },
    },
    async (_request, reply) => {
      const counts = Promise.all([countWaiting(app.database), countLiveThreads(app.database)])
      const [waiting, graderThreads] = (await answerInTime(counts)) ?? [null, null]
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
    '/api/health/live',
    {
      schema: { tags: ['server'], summary: 'Whether the process answers', response: { 200: Probe } },
      config: { rateLimit: false },
    },
    async () => ({ status: 'ok' as const }),
  )

  app.get(
    '/api/health/ready',
    {
      schema: {
        tags: ['server'],
        summary: 'Whether requests can be served now: the database answers',
        response: { 200: Probe, 503: Probe },
      },
      config: { rateLimit: false },
    },
    async (_request, reply) => {
      if (await isReady(app.database)) return { status: 'ok' as const }
      reply.status(503)
      return { status: 'degraded' as const }
    },
  )

  app.get(
    '/api/problems',
    { schema: { tags: ['server'], summary: 'All error codes', response: { 200: ProblemList } } },
    async () => ({ problems: problemList() }),
  )
}
