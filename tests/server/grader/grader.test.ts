import { afterEach, describe, expect, test } from 'vitest'
import type { Submission } from '../../../server/contract/index.ts'
import { openPool, type GraderPool } from '../../../server/grader/pool.ts'
import { deferred, inThread, openHouse, poolOf, reportOf, type House } from '../harness.ts'
import { readDocument } from '../../../server/exercises/document.ts'
import { openClass, rightProgram, sumYaml, wrongProgram, type Class } from '../sample.ts'

const houses: House[] = []
afterEach(async () => {
  for (const house of houses.splice(0)) await house.close()
})

async function houseWith(pool: GraderPool, limits = {}): Promise<{ house: House; group: Class; url: string }> {
  const house = await openHouse({ pool, limits })
  houses.push(house)
  const group = await openClass(house)
  return { house, group, url: `/api/exercises/${group.exercise.id}/submissions` }
}

const waiting = { prefer: 'wait=30' }

describe('grading', () => {
  test('by real threads gives the report that core gives here', async () => {
    const pool = openPool({ size: 1, wallSeconds: 60, onError: console.error })
    const { group, url } = await houseWith(pool)
    const inAThread = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    const { house } = await houseWith(inThread)
    const revision = await houses[0]?.database.prisma.exerciseRevision.findFirstOrThrow()
    const stored = await houses[0]?.database.prisma.submission.findFirstOrThrow()
    const here = await inThread.grade(
      { program: wrongProgram, document: revision?.document, seed: stored?.seed ?? 0, boardId: 'bench-8' },
      () => {},
    )
    expect(JSON.stringify(stored?.report)).toBe(JSON.stringify(here))
    expect(inAThread.state).toBe('graded')
    expect(house.database).not.toBe(houses[0]?.database)
  })

  test('that fails once is taken up again, and graded once', async () => {
    let calls = 0
    const { house, group, url } = await houseWith(
      poolOf(async () => {
        calls += 1
        if (calls === 1) throw new Error('the thread was killed')
        return reportOf(70)
      }),
    )
    const submission = await group.student.take<Submission>('POST', url, rightProgram, waiting)
    expect(submission).toMatchObject({ state: 'graded', score: 70 })
    const graded = await house.database.prisma.auditEvent.findMany({ where: { action: 'graded' } })
    expect(graded.map((event) => event.detail)).toEqual([expect.objectContaining({ attempt: 2 })])
  })

  test('that fails every time is given up after three attempts, and nothing is lost', async () => {
    let calls = 0
    const { house, group, url } = await houseWith(
      poolOf(async () => {
        calls += 1
        throw new Error('the engine gave way')
      }),
    )
    const submission = await group.student.take<Submission>('POST', url, rightProgram, waiting)
    expect([submission.state, submission.text, calls]).toEqual(['grader-fault', rightProgram.text, 3])
    const row = await house.database.prisma.submission.findUniqueOrThrow({ where: { id: submission.id } })
    expect(row.fault).toBe('the engine gave way')
    const queue = await group.assistant.take<{ items: unknown[] }>('GET', `/api/courses/${group.course.id}/review`)
    expect(queue.items).toEqual([expect.objectContaining({ reason: 'grader-fault' })])
  })

  test('by a grader that falls silent goes to another one, and its late result is thrown away', async () => {
    const late = deferred()
    let calls = 0
    const { house, group, url } = await houseWith(
      poolOf(async () => {
        calls += 1
        if (calls > 1) return reportOf(80)
        await late.promise
        return reportOf(10)
      }, 2),
      { graderSeconds: 1 },
    )
    const submission = await group.student.take<Submission>('POST', url, rightProgram, waiting)
    expect(submission.score).toBe(80)
    late.resolve()
    await new Promise((resolve) => setTimeout(resolve, 300))
    const row = await house.database.prisma.submission.findUniqueOrThrow({ where: { id: submission.id } })
    expect([row.score, row.attempt]).toEqual([80, 2])
    expect(await house.database.prisma.auditEvent.count({ where: { action: 'graded' } })).toBe(1)
  })

  test('tells how far it is', async () => {
    const seen: unknown[] = []
    const { house, group, url } = await houseWith(
      poolOf(async (_task, onProgress) => {
        onProgress({ casesDone: 1, cases: 4 })
        await new Promise((resolve) => setTimeout(resolve, 100))
        return reportOf(100)
      }),
    )
    house.app.news.on((news) => {
      if (news.kind === 'submission-running' && news.progress !== null) seen.push(news.progress)
    })
    await group.student.take('POST', url, rightProgram, waiting)
    expect(seen).toEqual([{ casesDone: 1, cases: 4 }])
  })
})

describe('grader threads', () => {
  const task = { program: rightProgram, document: {}, seed: 0, boardId: 'bench-8' }
  const workers = new URL('./workers/', import.meta.url)

  test('one that never ends is stopped by the clock, and the next task has a fresh one', async () => {
    const workerFile = new URL('endless-once.mjs', workers).href
    const pool = openPool({ size: 1, wallSeconds: 1, onError: () => {}, workerFile })
    await expect(pool.grade({ ...task, seed: 1 }, () => {})).rejects.toThrow('stopped after 1 s')
    expect(await pool.grade(task, () => {})).toEqual({ score: 1 })
    await pool.close()
  })

  test('one whose engine threw is not used again', async () => {
    const pool = openPool({ size: 1, wallSeconds: 60, onError: console.error })
    await expect(pool.grade({ ...task, boardId: 'bench-9' }, () => {})).rejects.toThrow(
      'The board bench-9 is not installed.',
    )
    await expect(pool.grade(task, () => {})).rejects.toThrow('The stored exercise cannot be read')
    const { exercise } = readDocument(sumYaml)
    const report = await pool.grade({ ...task, document: exercise }, () => {})
    expect(report.score).toBe(100)
    await pool.close()
  })

  test('one that eats all memory ends alone', async () => {
    const workerFile = new URL('greedy-once.mjs', workers).href
    const pool = openPool({ size: 1, wallSeconds: 120, onError: () => {}, workerFile })
    await expect(pool.grade({ ...task, seed: 1 }, () => {})).rejects.toThrow(/memory/)
    expect(await pool.grade(task, () => {})).toEqual({ score: 1 })
    await pool.close()
  })
})
