import { afterAll, beforeAll, expect, test } from 'vitest'
import { tidy } from '../../../server/plugins/housekeeping.ts'
import { openHouse, type House } from '../harness.ts'
import { openClass, rightProgram } from '../sample.ts'

let house: House
beforeAll(async () => {
  house = await openHouse()
})
afterAll(() => house.close())

const day = 86_400_000
const after = (days: number): Date => new Date(Date.now() + days * day)

test('what has run out is removed, what has not stays, and hand-ins are never touched', async () => {
  const { prisma } = house.database
  const group = await openClass(house)
  const url = `/api/exercises/${group.exercise.id}/submissions`
  await group.student.post(url, rightProgram, { 'idempotency-key': 'one' })
  await house.visitor().post('/api/session', { userName: 'nobody', password: 'not it at all' })
  await prisma.setUpToken.create({ data: { tokenHash: 'x', expiresAt: after(1) } })
  const counts = async () => ({
    sessions: await prisma.session.count(),
    failures: (await prisma.throttleCount.count()) > 0,
    devices: (await prisma.knownDevice.count()) > 0,
    keys: await prisma.idempotencyKey.count(),
    tokens: await prisma.setUpToken.count(),
    handIns: await prisma.submission.count(),
  })
  const first = await counts()
  expect(first).toMatchObject({ failures: true, devices: true, keys: 1, tokens: 1, handIns: 1 })
  await tidy(house.database, new Date())
  expect(await counts()).toEqual(first)
  await tidy(house.database, after(2))
  expect(await counts()).toMatchObject({ sessions: 0, failures: false, devices: true, keys: 1, tokens: 1, handIns: 1 })
  await tidy(house.database, after(8))
  expect(await counts()).toMatchObject({ devices: true, keys: 0, tokens: 1, handIns: 1 })
  await tidy(house.database, after(200))
  expect(await counts()).toMatchObject({ devices: false, keys: 0, tokens: 0, handIns: 1 })
})
