import { afterEach, expect, test } from 'vitest'
import type { Health, Submission } from '../../../server/contract/index.ts'
import { claimFairly } from '../../../server/grader/fair-order.ts'
import { gradeQueue } from '../../../server/grader/queue.ts'
import { OutOfTime } from '../../../server/grader/pool.ts'
import { openHouse, poolOf, reportOf, type House } from '../harness.ts'
import { openClass, rightProgram } from '../sample.ts'

const houses: House[] = []
afterEach(async () => {
  for (const house of houses.splice(0)) await house.close()
})

async function open(...options: Parameters<typeof openHouse>): Promise<House> {
  const house = await openHouse(...options)
  houses.push(house)
  return house
}

/** Takes jobs one at a time, each finished before the next, and says whose they were. */
async function takenInTurn(house: House, count: number): Promise<string[]> {
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

test('thirty hand-ins of one student hold up the first of another by one grading at most', async () => {
  const house = await open()
  const group = await openClass(house)
  const url = `/api/exercises/${group.exercise.id}/submissions`
  for (let i = 0; i < 30; i++) await group.student.take('POST', url, rightProgram)
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
  const house = await open()
  const group = await openClass(house)
  const url = `/api/exercises/${group.exercise.id}/submissions`
  for (const who of [group.student, group.student, group.student, group.otherStudent, group.otherStudent])
    await who.take('POST', url, rightProgram)
  const names = await takenInTurn(house, 9)
  const [one, two] = [names[0]?.split(' ')[0], names[1]?.split(' ')[0]]
  expect(one).not.toBe(two)
  expect(names).toEqual([`${one} 1`, `${two} 1`, `${one} 2`, `${two} 2`, `${one} 3`])
})

test('two graders that ask at once never get two of one student', async () => {
  const house = await open()
  const group = await openClass(house)
  const url = `/api/exercises/${group.exercise.id}/submissions`
  for (let i = 0; i < 6; i++) await group.student.take('POST', url, rightProgram)
  const taken = await Promise.all(Array.from({ length: 4 }, () => claimFairly(house.database, gradeQueue, 3)))
  expect(taken.flat()).toHaveLength(1)
})

test('what ran out of time is not tried again, and staff can have it graded once more', async () => {
  let calls = 0
  const pool = poolOf(async () => {
    calls += 1
    if (calls === 1) throw new OutOfTime(30)
    return reportOf(90)
  })
  const house = await open({ pool })
  const group = await openClass(house)
  const url = `/api/exercises/${group.exercise.id}/submissions`
  const faulty = await group.student.take<Submission>('POST', url, rightProgram, { prefer: 'wait=30' })
  expect([faulty.state, calls]).toEqual(['grader-fault', 1])
  const again = `/api/submissions/${faulty.id}/grade-again`
  expect((await group.student.post(again)).statusCode).toBe(403)
  expect((await group.assistant.post(again)).statusCode).toBe(202)
  await expect
    .poll(async () => (await group.student.take<Submission>('GET', `/api/submissions/${faulty.id}`)).score, {
      timeout: 30_000,
    })
    .toBe(90)
  expect((await group.assistant.post(again)).statusCode).toBe(409)
  expect(await house.database.prisma.auditEvent.count({ where: { action: 'graded-again' } })).toBe(1)
})

test('health tells whether a grader lives', async () => {
  const alone = await open()
  const deaf = await alone.visitor().take<Health>('GET', '/api/health')
  expect(deaf).toMatchObject({ status: 'degraded', graderThreads: 0, waiting: 0 })
  const house = await open({ pool: poolOf(async () => reportOf(1), 3) })
  expect(await house.visitor().take<Health>('GET', '/api/health')).toMatchObject({ status: 'ok', graderThreads: 3 })
  await house.database.prisma.$executeRaw`update "LiveGrader" set "seenAt" = now() - interval '21 seconds'`
  expect(await house.visitor().take<Health>('GET', '/api/health')).toMatchObject({ graderThreads: 0 })
})
