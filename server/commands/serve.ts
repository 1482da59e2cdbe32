import { randomBytes } from 'node:crypto'
import { buildApp, buildGrader } from '../app.ts'
import { readConfig, type Config, type ConfigOptions } from '../config.ts'
import { requireFinished, unfinishedMark } from '../backup/restore.ts'
import { openDatabase } from '../plugins/database.ts'
import { openControl } from '../operations/control.ts'
import { readyPages } from '../pages-build.ts'
import { listen, requireFreePort, runServer } from '../running.ts'
import { StartFault } from '../start-fault.ts'
import { countAccounts, keepSetUpToken } from '../store/accounts.ts'
import type { Database } from '../store/database.ts'
import { findSetting } from '../store/settings.ts'
import { demoMark } from './demo-mark.ts'

export type ServeOptions = Omit<ConfigOptions, 'isDemo'>

/** A set-up link works for a day. */
const linkMs = 24 * 3_600_000

/** Runs the server until it is stopped; gives the exit code of the process. */
export function serve(options: ServeOptions = {}): Promise<number> {
  return runServer(async (opened) => {
    const config = readConfig(process.env, options)
    if (config.role !== 'grader') await requireFreePort(config)
    const database = opened(await openDatabase(config.database))
    await refuseDemo(database)
    requireFinished(await findSetting(database, unfinishedMark))
    if (config.database.kind === 'embedded' && config.database.folder !== null)
      opened(await openControl(database, config.database.folder))
    if (config.role === 'grader') {
      opened(await buildGrader({ config, database }))
      console.log(`Grading with ${config.graders} ${config.graders === 1 ? 'thread' : 'threads'}.`)
    } else {
      const webFolder = config.webFolder ?? (await readyPages(console.log))
      const app = opened(await buildApp({ config: { ...config, webFolder }, database }))
      await welcome(database, config, await listen(app, config))
    }
  })
}

async function welcome(database: Database, config: Config, address: string): Promise<void> {
  const origin = config.publicOrigin ?? address
  console.log(`Hexcairn listens at ${origin}`)
  if (config.role === 'web') console.log('It grades nothing itself: start graders with hexcairn serve --role grader.')
  if (database.kind === 'embedded')
    console.log(
      'The database is a folder: safe against a stop of the program, not against a power cut. See docs/operators.md.',
    )
  const token = await makeSetUpToken(database)
  // Behind the #, so that it reaches no log of a server or proxy.
  if (token !== null)
    console.log(`No account exists yet. Make the first one, once, within a day: ${origin}/set-up#${token}`)
}

/** A token for the first account; null when there are accounts. Its hash alone is kept. */
export async function makeSetUpToken(database: Database, now: Date = new Date()): Promise<string | null> {
  if ((await countAccounts(database)) > 0) return null
  const token = randomBytes(24).toString('base64url')
  await keepSetUpToken(database, token, new Date(now.getTime() + linkMs))
  return token
}

/** The sign-ins of a demo are known to everybody, so its database is never served. */
async function refuseDemo(database: Database): Promise<void> {
  if ((await findSetting(database, demoMark)) !== null)
    throw new StartFault('This database was made by hexcairn demo. Choose another folder with --data or HEXCAIRN_DATA.')
}
