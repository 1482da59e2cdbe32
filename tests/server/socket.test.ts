import request from 'supertest'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { inThread, openHouse, type House } from './harness.ts'
import { openClass, rightProgram, type Class } from './sample.ts'

// Elsewhere requests are injected. Here they go through a real socket, as from a program of somebody else's.
describe('over a socket', () => {
  let house: House
  let group: Class
  beforeAll(async () => {
    house = await openHouse({ pool: inThread })
    group = await openClass(house)
  })
  afterAll(() => house.close())

  test('the server says that it is well', async () => {
    await request(house.app.server).get('/api/health').expect(200).expect('content-type', /json/)
  })

  test('an address that is not there is answered by problem details (RFC 9457)', async () => {
    const { body } = await request(house.app.server)
      .get('/api/nowhere')
      .expect(404)
      .expect('content-type', /^application\/problem\+json/)
    expect(body).toMatchObject({ status: 404, type: expect.stringMatching(/^\/api\/problems#/) })
  })

  test('a hand-in that waits is answered with its report (RFC 7240)', async () => {
    const { body } = await request(house.app.server)
      .post(`/api/exercises/${group.exercise.id}/submissions`)
      .set({ ...group.student.headers, prefer: 'wait=20' })
      .send(rightProgram)
      .expect(201)
      .expect('preference-applied', 'wait=20')
    expect(body).toMatchObject({ state: 'graded', score: 100 })
  })

  test('a body of five megabytes is refused as too large', async () => {
    const { body } = await request(house.app.server)
      .post(`/api/exercises/${group.exercise.id}/submissions`)
      .set(group.student.headers)
      .send({ format: 'hex', text: '00 '.repeat(1_700_000) })
      .expect(413)
    expect(body).toMatchObject({ status: 413, detail: expect.stringMatching(/\d/) })
  })
})
