import type { FastifyInstance } from 'fastify'
import net from 'node:net'
import { ConfigFault, type Config } from './config.ts'
import { FolderInUse } from './store/folder-lock.ts'

/** Why a server did not start, in one line for whoever started it. */
export class StartFault extends Error {
  constructor(message: string) {
    super(message)
    this.name = 'StartFault'
  }
}

/** The line for a failure that has a simple reason; null for a mistake of the program. */
function startLine(error: unknown): string | null {
  if (error instanceof StartFault || error instanceof ConfigFault) return error.message
  if (error instanceof FolderInUse)
    return `${error.message} Stop that one, or choose another folder with --data or HEXCAIRN_DATA.`
  return null
}

/** Fails early when the port is taken, before anything slow is begun. */
export async function requireFreePort({ host, port }: Config): Promise<void> {
  if (port === 0) return
  const probe = net.createServer()
  await new Promise<void>((resolve, reject) => {
    probe.once('error', (error: NodeJS.ErrnoException) => reject(portFault(error, host, port)))
    probe.listen({ host, port, exclusive: true }, () => probe.close(() => resolve()))
  })
}

/** Listens, and gives the address for people. */
export async function listen(app: FastifyInstance, { host, port }: Config): Promise<string> {
  try {
    await app.listen({ host, port })
  } catch (error) {
    throw portFault(error as NodeJS.ErrnoException, host, port)
  }
  const address = app.server.address()
  const actual = address !== null && typeof address === 'object' ? address.port : port
  const name = host === '0.0.0.0' || host === '::' ? 'localhost' : host.includes(':') ? `[${host}]` : host
  return `http://${name}:${actual}`
}

function portFault(error: NodeJS.ErrnoException, host: string, port: number): Error {
  switch (error.code) {
    case 'EADDRINUSE':
      return new StartFault(`Port ${port} of ${host} is taken by another program. Choose another one with --port.`)
    case 'EACCES':
      return new StartFault(`Port ${port} may not be used by this user. Choose one above 1023 with --port.`)
    case 'EADDRNOTAVAIL':
    case 'ENOTFOUND':
      return new StartFault(`This machine has no address '${host}'. Choose another one with --host.`)
    default:
      return error
  }
}

/** Longest time a clean end may take. */
const graceMs = 4000

interface Closable {
  close(): Promise<unknown>
}

/**
 * Runs until the process is asked to end; gives its exit code. `start` hands over what it opens, which is closed at the end,
 * the newest first, also when it does not come up: then the reason is printed.
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
    console.error(startLine(error) ?? error)
    return 2
  } finally {
    for (const each of open.toReversed()) await each.close()
  }
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
