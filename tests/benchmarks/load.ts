/**
 * `npm run load -- [--students N] [--rate PER-SECOND] [--minutes N] [--graders N] [--exercise FOLDER] [--wrong SHARE]`: a class
 * hands in over HTTP to a server of its own on 127.0.0.1, with a live view each; needs a PostgreSQL (PG_BIN). Prints how long
 * receipts and reports took, what failed, and how long the searches for causes ran on. A burst of 2,400 in a minute is
 * `--rate 40 --minutes 1`.
 */
import { cpus, loadavg } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { readCourseFiles } from '../../server/demo/course-files.ts'
import { openHosted } from '../../server/store/hosted.ts'
import { migrate } from '../../server/store/migrations.ts'
import { root } from '../server/commands/hexcairn.ts'
import { killProcesses, start } from '../server/commands/server-process.ts'
import { postgresBin, startPostgres } from '../server/postgres.ts'
import { atRate, handIn, openSchool, until } from './school.ts'

const { values } = parseArgs({
  options: {
    students: { type: 'string', default: '100' },
    rate: { type: 'string', default: '10' },
    minutes: { type: 'string', default: '1' },
    graders: { type: 'string', default: '2' },
    exercise: { type: 'string', default: 'A1' },
    wrong: { type: 'string', default: '0.5' },
  },
})
const bounded = (name: keyof typeof values, most: number): number => {
  const value = Number(values[name])
  if (!(value >= 0 && value <= most)) throw new Error(`--${name}: found '${values[name]}', allowed 0 to ${most}.`)
  return value
}
const count = Math.max(1, bounded('students', 5000))
const [rate, minutes, wrong] = [bounded('rate', 1000), bounded('minutes', 60), bounded('wrong', 1)]

const bin = postgresBin()
if (bin === null) throw new Error('No PostgreSQL was found; name the folder of initdb in PG_BIN.')
const files = readCourseFiles(join(root, 'prisma/seed/tram-depot')).exercises.find(({ id }) => id === values.exercise)
if (files === undefined) throw new Error(`--exercise: there is no folder '${values.exercise}' in the demo course.`)
const programs = { right: files.right, wrong: files.wrong.length > 0 ? files.wrong : files.right }

const postgres = await startPostgres(bin)
const connectionString = postgres.database('load')
const database = await openHosted({ connectionString })
try {
  await migrate(database)
  const env = {
    DATABASE_URL: connectionString,
    HEXCAIRN_GRADERS: `${bounded('graders', 64)}`,
    HEXCAIRN_HAND_INS: '100000',
  }
  const server = start(['serve', '--host', '127.0.0.1', '--port', '0'], env)
  const origin = await server.line(/listens at (\S+)/)
  const school = await openSchool(database, origin, count, files.source)
  const sentAt = new Map<string, number>()
  const gradedAt = new Map<string, number>()
  for (const student of school.students)
    await student.watch(school.course.id, (message) => {
      if (message.kind === 'submission-graded' && !gradedAt.has(message.submission.id))
        gradedAt.set(message.submission.id, performance.now())
    })
  console.log(`${count} students with live views; ${rate} hand-ins a second for ${minutes} min, ${wrong * 100} % wrong`)
  const receipts: number[] = []
  const failures = new Map<string, number>()
  await atRate(
    rate,
    (seconds) => seconds >= minutes * 60,
    async (i) => {
      const from = performance.now()
      const kind = (i * 0.618) % 1 < wrong ? programs.wrong : programs.right
      const program = kind[i % kind.length]
      const student = school.students[i % count]
      if (program === undefined || student === undefined) return
      const outcome = await handIn(student, school.exercise.id, { format: program.format, text: program.text })
      if (outcome.kind === 'accepted') {
        receipts.push(outcome.ms)
        sentAt.set(outcome.id, from)
      } else {
        const name = outcome.kind === 'cut' ? 'no answer' : `status ${outcome.status}`
        failures.set(name, (failures.get(name) ?? 0) + 1)
      }
    },
  )
  const drained = await until(async () => [...sentAt.keys()].every((id) => gradedAt.has(id)), 600)
  const stillLooking = () => database.prisma.submission.count({ where: { diagnosisState: 'looking' } })
  const caughtUp = await until(async () => (await stillLooking()) === 0, 600)
  const reports = [...sentAt].flatMap(([id, from]) => {
    const at = gradedAt.get(id)
    return at === undefined ? [] : [at - from]
  })
  const ms = (list: readonly number[], part: number): string => {
    const at = list.toSorted((a, b) => a - b)[Math.min(list.length - 1, Math.floor(list.length * part))]
    return at === undefined ? '-' : `${at.toFixed(0)} ms`
  }
  const row = (name: string, list: readonly number[]) => ({
    what: name,
    count: list.length,
    p50: ms(list, 0.5),
    p95: ms(list, 0.95),
    p99: ms(list, 0.99),
    most: ms(list, 1),
  })
  console.table([row('receipt', receipts), row('hand-in to report', reports)])
  const seconds = (value: number | null): string => (value === null ? 'not within 600 s' : `${value.toFixed(1)} s`)
  console.log(
    `reports missing: ${sentAt.size - reports.length}, errors: ${JSON.stringify(Object.fromEntries(failures))}`,
  )
  console.log(`after the last hand-in: queue empty in ${seconds(drained)}, causes found in ${seconds(caughtUp)} more`)
  console.log(
    `${cpus().length} cores (${cpus()[0]?.model.trim()}), load average ${loadavg()[0]?.toFixed(1)}, exercise ${files.id}`,
  )
  for (const each of [school.instructor, ...school.students]) each.close()
} finally {
  killProcesses()
  await database.close()
  postgres.close()
}
