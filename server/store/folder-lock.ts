import { createHash } from 'node:crypto'
import { closeSync, openSync, readFileSync, realpathSync, rmSync, writeSync } from 'node:fs'
import net from 'node:net'
import { join } from 'node:path'

/** Thrown when another process has the database folder open. The embedded database itself would let two writers in. */
export class FolderInUse extends Error {
  readonly folder: string
  constructor(folder: string) {
    super(`The database folder ${folder} is in use by another hexcairn process.`)
    this.name = 'FolderInUse'
    this.folder = folder
  }
}

export interface FolderLock {
  release(): Promise<void>
}

/** Takes the folder for this process; it is free again when the process ends, however it ends. */
export async function lockFolder(folder: string): Promise<FolderLock> {
  return process.platform === 'darwin' ? lockByFile(folder) : lockBySocket(folder)
}

/**
 * Listens on a socket that has no file (Linux: abstract; Windows: a named pipe), so nothing is left behind by a kill.
 * It is seen within one network namespace only: two containers on one volume do not see each other.
 */
export async function lockBySocket(folder: string): Promise<FolderLock> {
  const name = createHash('sha256').update(realpathSync(folder)).digest('hex').slice(0, 32)
  const path = process.platform === 'win32' ? `\\\\.\\pipe\\hexcairn-${name}` : `\0hexcairn-${name}`
  const server = net.createServer((connection) => connection.destroy())
  await new Promise<void>((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) =>
      reject(error.code === 'EADDRINUSE' ? new FolderInUse(folder) : error),
    )
    server.listen({ path }, resolve)
  })
  server.unref()
  return { release: () => new Promise((resolve) => server.close(() => resolve())) }
}

/** For systems with neither: a file with the process id, taken over when that process is gone. */
export async function lockByFile(folder: string): Promise<FolderLock> {
  const file = join(realpathSync(folder), 'hexcairn.pid')
  for (let attempt = 0; attempt < 2; attempt += 1) {
    try {
      const handle = openSync(file, 'wx')
      writeSync(handle, String(process.pid))
      closeSync(handle)
      return { release: async () => rmSync(file, { force: true }) }
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
      if (isAlive(Number(readFileSync(file, 'utf8')))) throw new FolderInUse(folder)
      rmSync(file, { force: true })
    }
  }
  throw new FolderInUse(folder)
}

function isAlive(pid: number): boolean {
  if (!Number.isInteger(pid) || pid <= 0) return false
  try {
    process.kill(pid, 0)
    return true
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
}
