import fp from 'fastify-plugin'
import { randomUUID } from 'node:crypto'
import type { Config } from '../config.ts'
import { startGrader } from '../grader/grader.ts'
import { openPool, type GraderPool } from '../grader/pool.ts'
import { measured } from '../operations/metrics.ts'
import { beatSeconds, noteLeaving, noteLiving } from '../store/live-graders.ts'

export interface GradingOptions {
  readonly config: Config
  readonly pool?: GraderPool
}

/** Grader threads inside this process. */
export const gradingPlugin = fp<GradingOptions>(
  async (app, { config, pool: given }) => {
    const pool = measured(
      given ??
        openPool({
          size: config.graders,
          wallSeconds: config.limits.wallSeconds,
          onError: (error) => app.log.error(error, 'grader pool'),
        }),
      app.metrics,
    )
    await pool.warm()
    // One process only has the embedded database, so what was under way belonged to a process that is gone.
    if (app.database.kind === 'embedded') {
      const orphans = await app.queue.grades.returnOrphans()
      await app.queue.diagnoses.returnOrphans()
      if (orphans > 0) app.log.info(`${orphans} submissions of a stopped grader were taken up again`)
    }
    const id = randomUUID()
    const beat = (): Promise<void> => noteLiving(app.database, id, pool.size)
    await beat()
    const beats = setInterval(() => {
      beat().catch((error: unknown) => app.log.warn(error, 'the sign of life was not written'))
    }, beatSeconds * 1000)
    const grader = startGrader({ database: app.database, queue: app.queue, pool, log: app.log })
    const stopListening = app.news.on((news) => {
      if (news.kind === 'submission-received') grader.makeWay()
    })
    app.addHook('onClose', async () => {
      stopListening()
      clearInterval(beats)
      await grader.stop(1000)
      await noteLeaving(app.database, id).catch((error: unknown) => app.log.warn(error, 'the end was not written'))
    })
  },
  { name: 'grading', dependencies: ['database', 'queue', 'news', 'operations'] },
)
