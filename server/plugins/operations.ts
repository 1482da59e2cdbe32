import Fastify from 'fastify'
import fp from 'fastify-plugin'
import { collectDefaultMetrics } from 'prom-client'
import type { Config } from '../config.ts'
import { queueNames } from '../grader/queue.ts'
import { answerInTime, isReady } from '../operations/health.ts'
import { openMetrics, type Metrics } from '../operations/metrics.ts'
import { listen } from '../running.ts'
import { countLiveThreads } from '../store/live-graders.ts'
import { queueStates } from '../store/queue-state.ts'

declare module 'fastify' {
  interface FastifyInstance {
    readonly metrics: Metrics
  }
}

/**
 * What operators alone see: metrics and health, on an address of their own (HEXCAIRN_METRICS), where there is one. A grader,
 * which answers nobody else, has it too.
 */
export const operationsPlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    const metrics = openMetrics()
    app.decorate('metrics', metrics)
    app.addHook('onResponse', async (request, reply) => {
      const labels = { method: request.method, route: request.routeOptions.url ?? 'none', status: reply.statusCode }
      metrics.requests.observe(labels, reply.elapsedTime / 1000)
    })
    if (config.metrics === null) return

    collectDefaultMetrics({ register: metrics.registry })
    const door = Fastify({ logger: false, forceCloseConnections: true })
    door.get('/metrics', async (_request, reply) => {
      metrics.sockets.set(app.websocketServer?.clients.size ?? 0)
      const asked = Promise.all([queueStates(app.database, queueNames), countLiveThreads(app.database)])
      const [states, threads] = (await answerInTime(asked)) ?? [[], null]
      // While the database is away nothing is said of it, rather than what was true before.
      for (const gauge of [metrics.jobs, metrics.oldest, metrics.graderThreads]) gauge.reset()
      for (const { queue, jobs, oldestSeconds } of states) {
        metrics.jobs.set({ queue }, jobs)
        metrics.oldest.set({ queue }, oldestSeconds)
      }
      if (threads === null) metrics.graderThreads.remove()
      else metrics.graderThreads.set(threads)
      return reply.type(metrics.registry.contentType).send(await metrics.registry.metrics())
    })
    door.get('/health/live', async () => ({ status: 'ok' }))
    door.get('/health/ready', async (_request, reply) => {
      const ready = await isReady(app.database)
      return reply.status(ready ? 200 : 503).send({ status: ready ? 'ok' : 'degraded' })
    })
    const { host, port } = config.metrics
    app.addHook('onReady', async () => {
      const address = await listen(door, { host, port }, 'HEXCAIRN_METRICS')
      app.log.info({ address }, 'metrics and health are at this address')
    })
    app.addHook('onClose', () => door.close())
  },
  { name: 'operations', dependencies: ['database'] },
)
