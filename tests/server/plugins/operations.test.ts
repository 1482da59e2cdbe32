import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { buildGrader } from '../../../server/app.ts'
import { freePort } from '../postgres.ts'
import { freshDatabase, inThread, openHouse, testConfig, type House } from '../harness.ts'
import type { Database } from '../../../server/store/database.ts'
import { openClass, rightProgram } from '../sample.ts'

let database: Database
let house: House
let door: string
beforeAll(async () => {
  database = await freshDatabase()
  const port = await freePort()
  door = `http://127.0.0.1:${port}`
  house = await openHouse({ database, pool: inThread, config: { metrics: { host: '127.0.0.1', port } } })
})
afterAll(async () => {
  await house.close()
  await database.close()
})

const read = async (path: string): Promise<{ status: number; text: string }> => {
  const response = await fetch(`${door}${path}`)
  return { status: response.status, text: await response.text() }
}

/** The value of one line of the metrics; null where it is not there. */
function valueOf(text: string, name: string): number | null {
  const line = text.split('\n').find((each) => each.startsWith(`${name} `))
  return line === undefined ? null : Number(line.slice(name.length))
}

describe('metrics', () => {
  test('count what was graded, answered, refused and signed in, and tell of no person', async () => {
    const group = await openClass(house)
    await group.student.post(`/api/exercises/${group.exercise.id}/submissions`, rightProgram, { prefer: 'wait=30' })
    await house.visitor().post('/api/session', { userName: 'wanda.of.the.depot', password: 'not it at all' })
    const { status, text } = await read('/metrics')
    expect(status).toBe(200)
    expect(valueOf(text, 'hexcairn_work_seconds_count{kind="grade",outcome="done"}')).toBe(1)
    expect(valueOf(text, 'hexcairn_grader_threads')).toBe(1)
    expect(valueOf(text, 'hexcairn_queue_jobs{queue="grade"}')).toBe(0)
    expect(valueOf(text, 'hexcairn_sign_ins_total{outcome="failed"}')).toBe(1)
    expect(valueOf(text, 'hexcairn_sign_ins_total{outcome="succeeded"}')).toBeGreaterThanOrEqual(4)
    expect(valueOf(text, 'hexcairn_problems_total{code="wrong-sign-in"}')).toBe(1)
    expect(text).toContain('route="/api/exercises/:exerciseId/submissions",status="201"')
    expect(text).not.toMatch(/wanda|127\.0\.0\.1/)
    expect(text).not.toContain(group.exercise.id)
  })

  test('tell how many hand-ins wait, and since when', async () => {
    const alone = await freshDatabase()
    const port = await freePort()
    const web = await openHouse({ database: alone, config: { metrics: { host: '127.0.0.1', port } } })
    const group = await openClass(web)
    await group.student.post(`/api/exercises/${group.exercise.id}/submissions`, rightProgram)
    await alone.prisma
      .$executeRaw`update pgboss.job set created_on = now() - interval '90 seconds' where name = 'grade'`
    const text = await (await fetch(`http://127.0.0.1:${port}/metrics`)).text()
    expect(valueOf(text, 'hexcairn_queue_jobs{queue="grade"}')).toBe(1)
    expect(valueOf(text, 'hexcairn_queue_oldest_seconds{queue="grade"}')).toBeGreaterThanOrEqual(90)
    expect(valueOf(text, 'hexcairn_grader_threads')).toBe(0)
    await web.close()
    await alone.close()
  })

  test('are not to be had at the public address', async () => {
    for (const path of ['/metrics', '/api/metrics', '/health/ready']) {
      const response = await house.visitor().get(path)
      expect(response.body).not.toContain('hexcairn_')
    }
  })

  test('a grader, which answers nobody, has them too', async () => {
    const port = await freePort()
    const config = testConfig({ config: { metrics: { host: '127.0.0.1', port } } })
    const grader = await buildGrader({ config, database, pool: inThread })
    expect((await fetch(`http://127.0.0.1:${port}/health/ready`)).status).toBe(200)
    expect(await (await fetch(`http://127.0.0.1:${port}/metrics`)).text()).toContain('hexcairn_grader_threads 2')
    await grader.close()
    await expect(fetch(`http://127.0.0.1:${port}/health/live`)).rejects.toThrow()
  })
})

describe('health', () => {
  test.each(['/health/live', '/health/ready'])('%s at the operators’ address', async (path) => {
    expect(await read(path)).toEqual({ status: 200, text: '{"status":"ok"}' })
  })
})

describe('the log', () => {
  test('tells each request by its path alone: no address, no query', async () => {
    const lines: string[] = []
    const { write } = process.stdout
    process.stdout.write = ((line: string) => (lines.push(line), true)) as typeof write
    const logged = await openHouse({ database, config: { logLevel: 'info' } })
    await logged.visitor().get('/api/session?who=wanda', { 'user-agent': 'a browser of wanda' })
    await logged.close()
    process.stdout.write = write
    const text = lines.join('')
    expect(text).toContain('"req":{"method":"GET","path":"/api/session"}')
    expect(text).not.toMatch(/wanda|127\.0\.0\.1/)
  })
})
