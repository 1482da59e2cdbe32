import fp from 'fastify-plugin'
import type { Config } from '../config.ts'
import { startGrader } from '../grader/grader.ts'
import { openPool, type GraderPool } from '../grader/pool.ts'

export interface GradingOptions {
  readonly config: Config
  readonly pool?: GraderPool
}

/** Grader threads inside this process. */
export const gradingPlugin = fp<GradingOptions>(
  async (app, { config, pool: given }) => {
    const pool =
      given ??
      openPool({
        size: config.graders,
        wallSeconds: config.limits.wallSeconds,
        onError: (error) => app.log.error(error, 'grader pool'),
      })
    await pool.warm()
    // One process only has the embedded database, so what was under way belonged to a process that is gone.
    if (app.database.kind === 'embedded') {
      const orphans = await app.queue.grades.returnOrphans()
      await app.queue.diagnoses.returnOrphans()
      if (orphans > 0) app.log.info(`${orphans} submissions of a stopped grader were taken up again`)
    }
    const grader = startGrader({ database: app.database, queue: app.queue, pool, log: app.log })
    const stopListening = app.news.on((news) => {
      if (news.kind === 'submission-received') grader.makeWay()
    })
    app.addHook('onClose', async () => {
      stopListening()
      await grader.stop(1000)
    })
  },
  { name: 'grading', dependencies: ['database', 'queue', 'news'] },
)
