import fp from 'fastify-plugin'
import type { Config } from '../config.ts'
import type { Database } from '../store/database.ts'
import { openEmbedded } from '../store/embedded.ts'
import { openHosted } from '../store/hosted.ts'
import { migrate } from '../store/migrations.ts'
import { emptyTemplate } from '../store/template.ts'

declare module 'fastify' {
  interface FastifyInstance {
    readonly database: Database
  }
}

/** Opens the database and brings its tables up to date; whoever opens it closes it. */
export async function openDatabase(
  config: Config['database'],
  say: (line: string) => void = () => {},
): Promise<Database> {
  const database =
    config.kind === 'embedded'
      ? await openEmbedded({ folder: config.folder, template: emptyTemplate })
      : await openHosted({ connectionString: config.connectionString })
  try {
    for (const name of await migrate(database)) say(`migration ${name} applied`)
    return database
  } catch (error) {
    await database.close()
    throw error
  }
}

export interface DatabaseOptions {
  readonly config: Config
  /** One that is open already and stays its owner's. */
  readonly database?: Database
}

export const databasePlugin = fp<DatabaseOptions>(
  async (app, { config, database }) => {
    const opened = database ?? (await openDatabase(config.database, (line) => app.log.info(line)))
    app.addHook('onClose', async () => {
      if (database === undefined) await opened.close()
    })
    app.decorate('database', opened)
  },
  { name: 'database' },
)
