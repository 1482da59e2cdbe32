import fp from 'fastify-plugin'
import type { Config } from '../config.ts'
import type { Database } from '../store/database.ts'
import { openEmbedded } from '../store/embedded.ts'
import { openHosted } from '../store/hosted.ts'
import { migrate } from '../store/migrations.ts'

declare module 'fastify' {
  interface FastifyInstance {
    readonly database: Database
  }
}

export async function openDatabase(config: Config['database']): Promise<Database> {
  return config.kind === 'embedded'
    ? openEmbedded({ folder: config.folder })
    : openHosted({ connectionString: config.connectionString })
}

export interface DatabaseOptions {
  readonly config: Config
  /** One that is open already and stays its owner's. */
  readonly database?: Database
}

export const databasePlugin = fp<DatabaseOptions>(
  async (app, { config, database }) => {
    const opened = database ?? (await openDatabase(config.database))
    app.addHook('onClose', async () => {
      if (database === undefined) await opened.close()
    })
    const applied = database === undefined ? await migrate(opened) : []
    for (const name of applied) app.log.info(`migration ${name} applied`)
    app.decorate('database', opened)
  },
  { name: 'database' },
)
