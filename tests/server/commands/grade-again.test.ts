import { existsSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Submission } from '../../../server/contract/index.ts'
import { OutOfTime } from '../../../server/grader/pool.ts'
import { openEmbedded } from '../../../server/store/embedded.ts'
import { freshDatabase, openHouse, poolOf, reportOf, type House } from '../harness.ts'
import { openClass, rightProgram } from '../sample.ts'
import { inProcess } from './command-cases.ts'

const parent = mkdtempSync(join(tmpdir(), 'hexcairn-again-'))
const folder = join(parent, 'data')
const address = process.env['DATABASE_URL']
beforeAll(() => {
  delete process.env['DATABASE_URL']
})
afterAll(() => {
  if (address !== undefined) process.env['DATABASE_URL'] = address
  rmSync(parent, { recursive: true, force: true })
})

/** A server on the folder, with graders that end as `outcome` says. */
async function serve<T>(outcome: 'faults' | 'grades', use: (house: House) => Promise<T>): Promise<T> {
  const database = await (existsSync(folder) ? openEmbedded({ folder }) : freshDatabase(folder))
  const pool = poolOf(async () => {
    if (outcome === 'faults') throw new OutOfTime(30)
    return reportOf(80)
  })
  const house = await openHouse({ database, pool })
  try {
    return await use(house)
  } finally {
    await house.close()
    await database.close()
  }
}

test('grade-again puts faulty hand-ins back, by id or all, and a server grades them', async () => {
  const again = (...words: string[]) => inProcess(['grade-again', '--data', folder, ...words])
  const [first, second, third] = await serve('faults', async (house) => {
    const group = await openClass(house)
    const url = `/api/exercises/${group.exercise.id}/submissions`
    const handIn = () => group.student.take<Submission>('POST', url, rightProgram, { prefer: 'wait=60' })
    const all = [await handIn(), await handIn(), await handIn()]
    expect(all.map(({ state }) => state)).toEqual(['grader-fault', 'grader-fault', 'grader-fault'])
    // A folder that a server holds is not opened a second time.
    expect(await again('--all')).toMatchObject({ code: 2, out: '', err: expect.stringMatching(/^hexcairn: [^\n]+\n$/) })
    return all.map(({ id }) => id)
  })
  expect(await again(String(first), String(first), 'nobody')).toEqual({
    code: 1,
    out: `${first} waits again.\n${first} is no hand-in on which the grader failed.\nnobody is no hand-in on which the grader failed.\n`,
    err: '',
  })
  expect(await again('--all')).toEqual({ code: 0, out: `${second} waits again.\n${third} waits again.\n`, err: '' })
  await serve('grades', async ({ database }) => {
    await expect
      .poll(() => database.prisma.submission.count({ where: { state: 'graded' } }), { timeout: 60_000 })
      .toBe(3)
    const events = await database.prisma.auditEvent.findMany({ where: { action: 'graded-again' } })
    expect(events.map(({ actorId, objectId }) => [actorId, objectId]).toSorted()).toEqual(
      [first, second, third].map((id) => [null, id]).toSorted(),
    )
  })
})

test('grade-again says what is missing, and makes no database of its own', async () => {
  expect(await inProcess(['grade-again'])).toMatchObject({ code: 2, err: expect.stringContaining('--all') })
  const none = await inProcess(['grade-again', '--all', '--data', join(parent, 'elsewhere')])
  expect(none).toMatchObject({ code: 2, out: '', err: expect.stringContaining('Found no database in') })
})
