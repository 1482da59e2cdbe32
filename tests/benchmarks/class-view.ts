/**
 * `npx tsx tests/benchmarks/class-view.ts [--hand-ins N] [--students N] [--sql STATEMENT]`: what the class view costs after so many
 * stored hand-ins, embedded and, where there is one, on PostgreSQL. The hand-ins are written in bulk, 24 exercises, the same number
 * for each student. Prints the best and the median of seven. `--sql` is run before, to try an index.
 */
import { parseArgs } from 'node:util'
import type { Database } from '../../server/store/database.ts'
import { openEmbedded } from '../../server/store/embedded.ts'
import { openHosted } from '../../server/store/hosted.ts'
import { migrate } from '../../server/store/migrations.ts'
import { listQueue } from '../../server/store/reviews.ts'
import { countByState, listStandings, listStudents } from '../../server/store/standings.ts'
import { postgresBin, startPostgres } from '../server/postgres.ts'

const { values } = parseArgs({
  options: {
    'hand-ins': { type: 'string', default: '100000' },
    students: { type: 'string', default: '500' },
    sql: { type: 'string' },
  },
})
const [handIns, students, exercises] = [Number(values['hand-ins']), Number(values.students), 24]

const seeding = [
  `insert into "User" (id, "userName", "userNameKey", "displayName", "passwordHash") select 'u' || i, 'u' || i, 'u' || i, 'Student ' || i, 'none' from generate_series(0, ${students}) i`,
  `insert into "Course" (id, title, description, "timeZone", "joinCode") values ('c', 'Depot', '', 'UTC', 'AAAA-AAAA')`,
  `insert into "Membership" ("courseId", "userId", role) select 'c', 'u' || i, 'student' from generate_series(1, ${students}) i`,
  `insert into "Exercise" (id, "courseId", code, title, summary, "boardId", "order", "isPublished") select 'e' || i, 'c', 'E' || i, 'E' || i, '', 'bench-8', i, true from generate_series(1, ${exercises}) i`,
  `insert into "ExerciseRevision" ("exerciseId", number, source, document, digest, "createdById") select 'e' || i, 1, '', '{}', 'd', 'u0' from generate_series(1, ${exercises}) i`,
  `insert into "Submission" (id, "courseId", "exerciseId", "revisionNumber", "studentId", number, format, text, digest, seed, "isLate", state, score, "isFullMarks", report)
   select 's' || i, 'c', 'e' || (i / ${students} % ${exercises} + 1), 1, 'u' || (i % ${students} + 1), i / ${students * exercises} + 1, 'hex',
     repeat('3E 05 76 ', 60), repeat('d', 64), 1, i % 9 = 0, 'graded', i * 37 % 101, i * 37 % 101 = 100, json_build_object('x', repeat(md5(i::text), 60))
   from generate_series(0, ${handIns - 1}) i`,
  ...(values.sql === undefined ? [] : [values.sql]),
  'analyze',
]

async function measure(name: string, database: Database): Promise<void> {
  await migrate(database)
  for (const sql of seeding) await database.prisma.$executeRawUnsafe(sql)
  const parts: Record<string, () => Promise<unknown>> = {
    standings: () => listStandings(database, 'c'),
    states: () => countByState(database, 'c'),
    'to review': () => listQueue(database, 'c', null, 0),
    students: () => listStudents(database, 'c'),
  }
  for (const [part, work] of Object.entries(parts)) {
    const times: number[] = []
    for (let i = 0; i < 7; i += 1) {
      const from = performance.now()
      await work()
      times.push(performance.now() - from)
    }
    times.sort((a, b) => a - b)
    rows.push({ name, part, best: `${times[0]?.toFixed(0)} ms`, median: `${times[3]?.toFixed(0)} ms` })
  }
  await database.close()
}

const rows: Record<string, string>[] = []
await measure('embedded', await openEmbedded({ folder: null }))
const bin = postgresBin()
if (bin !== null) {
  const postgres = await startPostgres(bin)
  try {
    await measure('PostgreSQL', await openHosted({ connectionString: postgres.database('classview') }))
  } finally {
    postgres.close()
  }
}
console.log(`${handIns} hand-ins of ${students} students to ${exercises} exercises`)
console.table(rows)
