import fc from 'fast-check'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import type { Course, Exercise, Health, Submission } from '../../../server/contract/index.ts'
import { claimFairly, placeInQueue, placesInQueue } from '../../../server/grader/fair-order.ts'
import { OutOfTime, type GraderPool } from '../../../server/grader/pool.ts'
import { gradeQueue } from '../../../server/grader/queue.ts'
import type { Database } from '../../../server/store/database.ts'
import { openHosted } from '../../../server/store/hosted.ts'
import { migrate } from '../../../server/store/migrations.ts'
import { freshDatabase, openHouse, poolOf, reportOf, type House, type HouseOptions } from '../harness.ts'
import { postgresBin, startPostgres, type PostgresServer } from '../postgres.ts'
import { openClass, rightProgram, sumYaml, type Class } from '../sample.ts'

const bin = postgresBin()

describe.each(['embedded', 'postgresql'] as const)('on the %s database', (kind) => {
  describe.skipIf(kind === 'postgresql' && bin === null)('the queue', () => {
    let server: PostgresServer | null = null
    let database: Database
    let config: HouseOptions['config'] = {}
    let house: House
    let group: Class
    let url = ''
    beforeAll(async () => {
      await openDatabase()
      house = await openHouse({ database, config })
      group = await openClass(house)
      url = `/api/exercises/${group.exercise.id}/submissions`
    })
    afterAll(async () => {
      await house?.close()
      await database?.close()
      server?.close()
    })

    async function openDatabase(): Promise<void> {
      if (kind === 'embedded') {
        database = await freshDatabase()
        return
      }
      server = await startPostgres(bin ?? '')
      const connectionString = server.database('queue')
      config = { database: { kind, connectionString } }
      database = await openHosted({ connectionString })
      await migrate(database)
    }

    const closing: (() => Promise<void>)[] = []
    afterEach(async () => {
      for (const close of closing.splice(0)) await close()
      await database.prisma.$executeRaw`delete from pgboss.job`
      await database.prisma.$executeRaw`truncate "Submission", "GradeTurn", "LiveGrader", "AuditEvent" cascade`
    })

    /** Another server on the same database, with graders of its own. */
    async function openSecond(pool: GraderPool): Promise<House> {
      const second = await openHouse({ database, config, pool })
      closing.push(() => second.close())
      return second
    }

    /** Takes jobs one at a time, each finished before the next, and says whose they were. */
    async function takenInTurn(count: number): Promise<string[]> {
      const names: string[] = []
      for (let i = 0; i < count; i++) {
        const [job] = await house.app.queue.grades.take(1)
        if (job === undefined) break
        const row = await house.database.prisma.submission.findUniqueOrThrow({
          where: { id: job.submissionId },
          select: { student: { select: { userName: true } }, number: true },
        })
        names.push(`${row.student.userName} ${row.number}`)
        await house.app.queue.grades.finish(job)
      }
      return names
    }

    test('fifteen hand-ins of one student hold up the first of another by one grading at most', async () => {
      for (let i = 0; i < 15; i++) await group.student.take('POST', url, rightProgram)
      // One of them is under way when the other student comes.
      const [running] = await house.app.queue.grades.take(5)
      expect(running).toBeDefined()
      // The same student gets no second one meanwhile, however many threads are free.
      expect(await house.app.queue.grades.take(5)).toEqual([])
      const { id, wait } = await group.otherStudent.take<Submission>('POST', url, rightProgram)
      expect(wait).toMatchObject({ ahead: 0, isGraderLive: false, expectedSeconds: null })
      const [next] = await house.app.queue.grades.take(1)
      expect(next?.submissionId).toBe(id)
    })

    test('students take turns, each with the oldest first', async () => {
      for (const who of [group.student, group.student, group.student, group.otherStudent, group.otherStudent])
        await who.take('POST', url, rightProgram)
      const names = await takenInTurn(9)
      const [one, two] = [names[0]?.split(' ')[0], names[1]?.split(' ')[0]]
      expect(one).not.toBe(two)
      expect(names).toEqual([`${one} 1`, `${two} 1`, `${one} 2`, `${two} 2`, `${one} 3`])
    })

    test('two graders that ask at once never get two of one student', async () => {
      for (let i = 0; i < 6; i++) await group.student.take('POST', url, rightProgram)
      const taken = await Promise.all(Array.from({ length: 4 }, () => claimFairly(database, gradeQueue, 3)))
      expect(taken.flat()).toHaveLength(1)
    })

    test('what ran out of time is not tried again, and staff can have it graded once more', async () => {
      let calls = 0
      const pool = poolOf(async () => {
        calls += 1
        if (calls === 1) throw new OutOfTime(30)
        return reportOf(90)
      })
      const second = await openSecond(pool)
      const [student, assistant] = [await second.visitor().signIn('sam'), await second.visitor().signIn('asha')]
      const faulty = await student.take<Submission>('POST', url, rightProgram, { prefer: 'wait=30' })
      expect([faulty.state, calls]).toEqual(['grader-fault', 1])
      const again = `/api/submissions/${faulty.id}/grade-again`
      expect((await student.post(again)).statusCode).toBe(403)
      expect((await assistant.post(again)).statusCode).toBe(202)
      await expect
        .poll(async () => (await student.take<Submission>('GET', `/api/submissions/${faulty.id}`)).score, {
          timeout: 30_000,
        })
        .toBe(90)
      expect((await assistant.post(again)).statusCode).toBe(409)
      expect(await database.prisma.auditEvent.count({ where: { action: 'graded-again' } })).toBe(1)
    })

    test('health tells whether a grader lives', async () => {
      const deaf = await house.visitor().take<Health>('GET', '/api/health')
      expect(deaf).toMatchObject({ status: 'degraded', graderThreads: 0, waiting: 0 })
      const second = await openSecond(poolOf(async () => reportOf(1), 3))
      expect(await second.visitor().take<Health>('GET', '/api/health')).toMatchObject({
        status: 'ok',
        graderThreads: 3,
      })
      await database.prisma.$executeRaw`update "LiveGrader" set "seenAt" = now() - interval '21 seconds'`
      expect(await second.visitor().take<Health>('GET', '/api/health')).toMatchObject({ graderThreads: 0 })
    })

    test('courses take turns, however many students hand in to one of them', async () => {
      const other = await group.outsider.take<Course>('POST', '/api/courses', { title: 'Sheds', timeZone: 'UTC' })
      const exercise = await group.outsider.take<Exercise>('POST', `/api/courses/${other.id}/exercises`, {
        source: sumYaml,
        isPublished: true,
      })
      const crowd = await Promise.all(['ada', 'ben', 'cem', 'dov'].map((name) => house.person(name)))
      for (const each of crowd) await house.enrol(each, group.course.id, 'student')
      const loner = await house.person('lea')
      await house.enrol(loner, other.id, 'student')
      for (const each of crowd) await each.take('POST', url, rightProgram)
      const own: Submission[] = []
      for (let i = 0; i < 3; i++)
        own.push(await loner.take<Submission>('POST', `/api/exercises/${exercise.id}/submissions`, rightProgram))
      expect(own.map(({ wait }) => wait?.ahead)).toEqual([1, 3, 5])
      expect(await takenInTurn(9)).toEqual(['ada 1', 'lea 1', 'ben 1', 'lea 2', 'cem 1', 'lea 3', 'dov 1'])
    })

    test('the place that is told is the place at which it is taken, in any queue', async () => {
      const queue = house.app.queue
      // Each student belongs to one course: somebody in two waits in both while one is graded, which nobody can foresee.
      const waiting = fc.array(fc.nat({ max: 7 }), { minLength: 1, maxLength: 14 })
      const rounds = fc.array(fc.record({ handIns: waiting, taken: fc.nat({ max: 4 }) }), {
        minLength: 1,
        maxLength: 2,
      })
      await fc.assert(
        fc.asyncProperty(rounds, async (all) => {
          await database.prisma.$executeRaw`delete from pgboss.job`
          await database.prisma.$executeRaw`delete from "GradeTurn"`
          let next = 0
          for (const { handIns, taken } of all) {
            for (const student of handIns) {
              const owner = { studentId: `s${student}`, courseId: `c${student % 3}` }
              await database.prisma.$transaction((tx) => queue.grades.enqueue(tx, `h${next++}`, { owner }))
            }
            const listed = await placesInQueue(database, gradeQueue)
            const counted = new Map<number | null, string>()
            for (const id of listed) counted.set(await placeInQueue(database, gradeQueue, id), id)
            expect(listed.map((_, place) => counted.get(place))).toEqual(listed)
            const order: string[] = []
            for (let i = 0; i < taken; i++)
              for (const job of await queue.grades.take(1)) {
                order.push(job.submissionId)
                await queue.grades.finish(job)
              }
            expect(order).toEqual(listed.slice(0, taken))
          }
          expect(await placeInQueue(database, gradeQueue, 'nobody')).toBeNull()
        }),
        { numRuns: 12 },
      )
    })

    test('a look at one place among five thousand that wait does not read what is done', async () => {
      await database.prisma.$executeRaw`
        insert into pgboss.job (name, state, data) select 'grade', 'completed', '{}' from generate_series(1, 20000)`
      await database.prisma.$executeRaw`
        insert into pgboss.job (name, data, created_on) select 'grade', jsonb_build_object('submissionId', 'h' || i,
          'studentId', 's' || (i % 700), 'courseId', 'c' || (i % 2)), now() - make_interval(secs => 5000 - i)
        from generate_series(1, 5000) i`
      await database.prisma.$executeRaw`analyze pgboss.job`
      const plan = await database.prisma.$queryRaw<Record<string, string>[]>`
        explain select id from pgboss.job where name = 'grade' and state <= 'active'`
      expect(plan.flatMap((line) => Object.values(line)).join('\n')).toMatch(/Index/)
      expect(await placeInQueue(database, gradeQueue, 'h4997')).toBeGreaterThan(4000)
      expect(await claimFairly(database, gradeQueue, 3)).toHaveLength(3)
    })
  })
})
