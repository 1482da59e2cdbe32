import net from 'node:net'
import { setTimeout as pause } from 'node:timers/promises'
import type { Database } from '../../server/store/database.ts'
import { openHosted } from '../../server/store/hosted.ts'
import { migrate } from '../../server/store/migrations.ts'
import { killProcesses, start, type ServerProcess } from '../server/commands/server-process.ts'
import { freePort, startPostgres, type PostgresServer } from '../server/postgres.ts'
import { rightProgram, sumYaml, wrongProgram } from '../server/sample.ts'
import { layWire, type Wire } from '../server/wire.ts'
import { atRate, handIn, openSchool, until, type School } from './school.ts'

/** Hand-ins of one burst, before a fault, through it and for as long after it, and what became of them. */
export interface Outcome {
  readonly fault: string
  readonly sent: number
  readonly accepted: number
  /** Refused with 503: to be sent again. */
  readonly unavailable: number
  /** No answer came: the connection broke. */
  readonly cut: number
  /** Any other answer, by its status. */
  readonly others: readonly number[]
  /** Accepted, and without one report at the end. */
  readonly lost: number
  /** Accepted, and written more than one report. */
  readonly doubled: number
  /** Seconds from the end of the burst until each had its report; null where it took more than two minutes. */
  readonly settled: number | null
}

/** Real processes on a cluster of their own: a server, two graders, a class. The database is reached by a wire that can be cut. */
export interface Installation {
  readonly school: School
  readonly wire: Wire
  readonly postgres: PostgresServer
  readonly graders: ServerProcess[]
  readonly address: URL
  startServer(): Promise<void>
  startGrader(): Promise<ServerProcess>
  killServer(): void
  burst(fault: Fault, perSecond: number, seconds: number): Promise<Outcome>
  close(): Promise<void>
}

export interface Fault {
  readonly name: string
  /** Happens in the middle of a burst; done when everything that it broke runs again. */
  happen(on: Installation): Promise<void>
}

const students = 12

export async function install(bin: string): Promise<Installation> {
  const postgres = await startPostgres(bin)
  const direct = new URL(postgres.database('faults'))
  const database = await openHosted({ connectionString: direct.href })
  await migrate(database)
  const wire = await layWire(Number(direct.port))
  const address = new URL(direct)
  address.port = String(wire.port)
  const env = { DATABASE_URL: address.href, HEXCAIRN_HAND_INS: '100000', HEXCAIRN_GRADER_SECONDS: '5' }
  const port = await freePort()
  const graders: ServerProcess[] = []
  let server: ServerProcess | null = null
  const startServer = async (): Promise<void> => {
    server = start(['serve', '--role', 'web', '--host', '127.0.0.1', '--port', String(port)], env)
    await server.line(/listens at/)
  }
  const startGrader = async (): Promise<ServerProcess> => {
    const grader = start(['serve', '--role', 'grader', '--graders', '1'], env)
    await grader.line(/Grading with/)
    graders.push(grader)
    return grader
  }
  await startServer()
  await Promise.all([startGrader(), startGrader()])
  const origin = `http://127.0.0.1:${port}`
  const school = await openSchool(database, origin, students, sumYaml)
  const self: Installation = {
    ...{ school, wire, postgres, graders, address: new URL(origin), startServer, startGrader },
    killServer: () => void server?.child.kill('SIGKILL'),
    burst: (fault, perSecond, seconds) => burst(self, database, fault, perSecond, seconds),
    close: async () => {
      killProcesses()
      await database.close()
      await wire.close()
      postgres.close()
    },
  }
  return self
}

async function burst(
  on: Installation,
  database: Database,
  fault: Fault,
  perSecond: number,
  seconds: number,
): Promise<Outcome> {
  const { school } = on
  const accepted: string[] = []
  const refused: number[] = []
  let cut = 0
  let isOver = false
  const load = atRate(
    perSecond,
    () => isOver,
    async (i) => {
      const student = school.students[i % students]
      if (student === undefined) return
      const outcome = await handIn(student, school.exercise.id, i % 2 === 0 ? rightProgram : wrongProgram)
      if (outcome.kind === 'accepted') accepted.push(outcome.id)
      else if (outcome.kind === 'refused') refused.push(outcome.status)
      else cut += 1
    },
  )
  await pause(seconds * 1000)
  await fault.happen(on)
  await pause(seconds * 1000)
  isOver = true
  await load
  const where = { id: { in: accepted } }
  const settled = await until(
    async () => (await database.prisma.submission.count({ where: { ...where, state: 'graded' } })) === accepted.length,
    120,
  )
  const rows = await database.prisma.submission.findMany({ where, select: { id: true, state: true, report: true } })
  const graded = rows.filter(({ state, report }) => state === 'graded' && report !== null)
  const written = await database.prisma.auditEvent.groupBy({
    by: ['objectId'],
    where: { action: 'graded', objectId: { in: accepted } },
    _count: true,
  })
  return {
    fault: fault.name,
    sent: accepted.length + refused.length + cut,
    accepted: accepted.length,
    unavailable: refused.filter((status) => status === 503).length,
    cut,
    others: refused.filter((status) => status !== 503),
    lost: accepted.length - graded.length,
    doubled: written.filter(({ _count }) => _count > 1).length,
    settled,
  }
}

/** Sockets that send half a request and then a byte a second. */
async function slowSockets({ hostname, port }: URL, count: number): Promise<void> {
  const sockets = Array.from({ length: count }, () => {
    const socket = net.connect(Number(port), hostname)
    socket.on('error', () => {})
    socket.write(
      'POST /api/session HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n{',
    )
    return socket
  })
  for (let i = 0; i < 5; i += 1) {
    for (const socket of sockets) if (socket.writable) socket.write(' ')
    await pause(500)
  }
  for (const socket of sockets) socket.destroy()
}

export const faults: readonly Fault[] = [
  {
    name: 'kill -9 of a grader',
    happen: async ({ graders, startGrader }) => {
      graders.shift()?.child.kill('SIGKILL')
      await startGrader()
    },
  },
  {
    name: 'kill -9 of the server',
    happen: async ({ killServer, startServer }) => {
      killServer()
      await startServer()
    },
  },
  {
    name: 'kill -9 of PostgreSQL',
    happen: async ({ postgres }) => {
      postgres.kill()
      await pause(1000)
      postgres.start()
    },
  },
  {
    name: 'a grader that hangs (SIGSTOP, 15 s)',
    happen: async ({ graders: [grader] }) => {
      grader?.child.kill('SIGSTOP')
      await pause(15_000)
      grader?.child.kill('SIGCONT')
    },
  },
  {
    name: 'a network that passes no bytes for 5 s',
    happen: async ({ wire }) => {
      wire.set('hangs')
      await pause(5000)
      wire.set('refuses')
      wire.set('passes')
    },
  },
  { name: '200 sockets that send a byte now and then', happen: ({ address }) => slowSockets(address, 200) },
]
