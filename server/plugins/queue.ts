import fp from 'fastify-plugin'
import type { Config } from '../config.ts'
import { openQueue, type Queue } from '../grader/queue.ts'

declare module 'fastify' {
  interface FastifyInstance {
    readonly queue: Queue
  }
}

export const queuePlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    const queue = await openQueue(app.database, {
      graderSeconds: config.limits.graderSeconds,
      onError: (error) => app.log.error(error, 'queue'),
    })
    app.addHook('onClose', () => queue.close())
    app.decorate('queue', queue)
  },
  { name: 'queue', dependencies: ['database'] },
)
