import type { FastifyInstance } from 'fastify'
import net from 'node:net'
import type { Config } from './config.ts'
import { StartFault, startLine } from './start-fault.ts'

/** Fails early when the port is taken, before anything slow is begun. */
export async function requireFreePort({ host, port }: Config): Promise<void> {
  if (port === 0) return
  const probe = net.createServer()
  await new Promise<void>((resolve, reject) => {
    probe.once('error', (error: NodeJS.ErrnoException) => reject(portFault(error, host, port)))
    probe.listen({ host, port, exclusive: true }, () => probe.close(() => resolve()))
  })
}

/** Listens, and gives the address for people. `setting`: what sets it, where the options for host and port do not. */
export async function listen(
  app: FastifyInstance,
  { host, port }: Pick<Config, 'host' | 'port'>,
  setting?: string,
): Promise<string> {
  try {
    await app.listen({ host, port })
  } catch (error) {
    throw portFault(error as NodeJS.ErrnoException, host, port, setting)
  }
  const address = app.server.address()
  const actual = address !== null && typeof address === 'object' ? address.port : port
  const name = host === '0.0.0.0' || host === '::' ? 'localhost' : host.includes(':') ? `[${host}]` : host
  return `http://${name}:${actual}`
}

function portFault(error: NodeJS.ErrnoException, host: string, port: number, setting?: string): StartFault {
  const by = (option: string): string => `with ${setting ?? option}.`
  switch (error.code) {
    case 'EADDRINUSE':
      return new StartFault(`Port ${port} of ${host} is taken by another program. Choose another one ${by('--port')}`)
    case 'EACCES':
      return new StartFault(`Port ${port} may not be used by this user. Choose one above 1023 ${by('--port')}`)
    case 'EADDRNOTAVAIL':
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
    case 'EINVAL':
      return new StartFault(`This machine has no address '${host}'. Choose another one ${by('--host')}`)
    default:
      return new StartFault(`Port ${port} of ${host} cannot be listened on: ${error.message}.`)
  }
}

/** Longest time a clean end may take: less than the ten seconds after which a container is killed. */
const graceMs = 8000

interface Closable {
  close(): Promise<unknown>
}

/**
 * Runs until the process is asked to end; gives its exit code. `start` hands over what it opens, which is closed at the end,
 * the newest first, also when it does not come up: then the reason is printed in one line, and the process ends whatever
 * still hangs in it.
 */
export async function runServer(start: (opened: <T extends Closable>(it: T) => T) => Promise<void>): Promise<number> {
  const open: Closable[] = []
  try {
    await start((it) => {
      open.push(it)
      return it
    })
    await untilStopped()
    return 0
  } catch (error) {
    console.error(startLine(error) ?? unforeseen(error))
    setTimeout(() => process.exit(2), graceMs).unref()
    return 2
  } finally {
    for (const each of open.toReversed())
      await each.close().catch((error: unknown) => console.error(`At the end: ${oneLine(error)}`))
  }
}

/** What nobody foresaw is a mistake of ours; where it happened is for those who look for it. */
function unforeseen(error: unknown): unknown {
  if (process.env['LOG_LEVEL'] === 'debug') return error
  return `Hexcairn could not start: ${oneLine(error)} (with LOG_LEVEL=debug it tells where)`
}

function oneLine(error: unknown): string {
  const said = error instanceof Error ? `${error.name}: ${error.message}` : String(error)
  return said.trim().replace(/\s+/g, ' ').slice(0, 300)
}

/** Resolves when the process was asked to end; a second signal, or an end that takes too long, ends it at once. */
async function untilStopped(): Promise<void> {
  await new Promise<void>((resolve) => {
    let isStopping = false
    const stop = (): void => {
      if (isStopping) process.exit(130)
      isStopping = true
      setTimeout(() => process.exit(1), graceMs).unref()
      resolve()
    }
    process.on('SIGINT', stop)
    process.on('SIGTERM', stop)
  })
}
