import { execFileSync, spawnSync } from 'node:child_process'
import { chmodSync, chownSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import net from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** Folder with `initdb` and `pg_ctl`: PG_BIN, or the newest of Debian's; null when there is none. */
export function postgresBin(): string | null {
  const given = process.env['PG_BIN']
  if (given !== undefined && given !== '') return given
  const root = '/usr/lib/postgresql'
  if (!existsSync(root)) return null
  const versions = readdirSync(root)
    .filter((name) => existsSync(join(root, name, 'bin', 'pg_ctl')))
    .toSorted((a, b) => Number(b) - Number(a))
  return versions[0] === undefined ? null : join(root, versions[0], 'bin')
}

export interface PostgresServer {
  /** Makes a database, empty or a copy of another to which nobody is connected, and gives its address. */
  database(name: string, copyOf?: string): string
  /** As `pg_ctl stop -m fast`: whoever is connected is thrown out. */
  stop(): void
  /** As the power would end it: kill -9 of its first process. */
  kill(): void
  /** Comes back, after a kill too. */
  start(): void
  close(): void
}

/** A server of the test's own on a free port. PostgreSQL does not run as root, so root starts it as the user postgres. */
export async function startPostgres(bin: string): Promise<PostgresServer> {
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-pg-'))
  const isRoot = process.getuid?.() === 0
  if (isRoot) {
    const [uid = 0, gid = 0] = ['-u', '-g'].map((flag) =>
      Number(execFileSync('id', [flag, 'postgres'], { encoding: 'utf8' })),
    )
    chownSync(folder, uid, gid)
  }
  chmodSync(folder, 0o700)
  const port = await freePort()
  const run = (program: string, ...args: string[]): void => {
    const words = [join(bin, program), ...args]
    const [command = '', ...rest] = isRoot
      ? ['setpriv', '--reuid=postgres', '--regid=postgres', '--clear-groups', ...words]
      : words
    const { status, stdout, stderr, error } = spawnSync(command, rest, { cwd: '/', encoding: 'utf8' })
    if (status !== 0) throw new Error(`${program}: ${error?.message ?? ''}${stdout}${stderr}`)
  }
  const data = join(folder, 'data')
  run('initdb', '-D', data, '-A', 'trust', '-U', 'postgres', '-E', 'UTF8', '--no-locale', '--no-sync')
  // A zone that is not UTC, so that a time read back shifted would show.
  const settings = `-p ${port} -c listen_addresses=127.0.0.1 -c timezone=America/New_York -c fsync=off -k ${folder}`
  const start = (): void => run('pg_ctl', '-D', data, '-w', '-l', join(folder, 'log'), '-o', settings, 'start')
  start()
  return {
    start: () => {
      // After a kill its children hold on to their memory for a moment.
      for (let tries = 20; ; tries -= 1)
        try {
          return start()
        } catch (error) {
          if (tries === 0) throw error
          spawnSync('sleep', ['0.5'])
        }
    },
    kill: () => {
      const [pid = ''] = readFileSync(join(data, 'postmaster.pid'), 'utf8').split('\n')
      process.kill(Number(pid), 'SIGKILL')
    },
    stop: () => run('pg_ctl', '-D', data, '-m', 'fast', '-w', 'stop'),
    database: (name, copyOf = 'template1') => {
      run('createdb', '-h', folder, '-p', String(port), '-U', 'postgres', '-T', copyOf, name)
      return `postgresql://postgres@127.0.0.1:${port}/${name}`
    },
    close: () => {
      run('pg_ctl', '-D', data, '-m', 'immediate', '-w', 'stop')
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

/** A port of this machine that nothing listens on at this moment. */
export async function freePort(): Promise<number> {
  const server = net.createServer()
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const address = server.address()
  await new Promise((resolve) => server.close(resolve))
  return address !== null && typeof address === 'object' ? address.port : 0
}
