import { fork } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs'
import { extname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { digestOfFiles } from '../digest.ts'
import { openQueue } from '../grader/queue.ts'
import { packageRoot } from '../package-root.ts'
import { dumpEmbedded } from './embedded.ts'
import { migrate } from './migrations.ts'

/** What an empty database is made from: migrations, queue, and the versions of the libraries. */
const sources = ['prisma/schema.prisma', 'prisma/migrations', 'server/grader/fair-order.ts', 'package-lock.json']

/** Beside the packages, where tools keep what they can make again. */
function templateFile(): string {
  const digest = digestOfFiles(packageRoot, sources).slice(0, 20)
  return join(packageRoot, 'node_modules', '.cache', 'hexcairn', `empty-database-${digest}.tar.gz`)
}

/**
 * An embedded database with all tables and no row, to begin from. Making one takes some seconds and, once, twice the memory of
 * a server, so it is made in a process of its own and kept. Null where it cannot be kept.
 */
export async function emptyTemplate(): Promise<Blob | null> {
  const file = templateFile()
  if (!existsSync(file)) await makeInProcess().catch(() => {})
  return existsSync(file) ? new Blob([readFileSync(file)], { type: 'application/gzip' }) : null
}

async function makeInProcess(): Promise<void> {
  const extension = extname(new URL(import.meta.url).pathname)
  const child = fork(fileURLToPath(new URL(`./make-template${extension}`, import.meta.url)), {
    execArgv: extension === '.ts' ? ['--import', 'tsx'] : [],
    env: {},
    stdio: 'ignore',
  })
  await new Promise((resolve, reject) => {
    child.once('error', reject)
    child.once('exit', resolve)
  })
}

/** Makes it in this process. */
export async function makeTemplate(): Promise<void> {
  const file = templateFile()
  if (existsSync(file)) return
  mkdirSync(join(file, '..'), { recursive: true })
  const dump = await dumpEmbedded(async (database) => {
    await migrate(database)
    const queue = await openQueue(database, { graderSeconds: 60, onError: () => {}, isSupervising: false })
    await queue.close()
  })
  // Several may make it at once; each puts its own there whole.
  const part = `${file}.${process.pid}`
  writeFileSync(part, new Uint8Array(await dump.arrayBuffer()))
  renameSync(part, file)
}
