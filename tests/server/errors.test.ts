import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { ProblemDetails, ProblemList } from '../../server/contract/index.ts'
import { problemList } from '../../server/errors.ts'
import { openHouse, type House } from './harness.ts'

let house: House
beforeAll(async () => {
  house = await openHouse()
  house.app.log.level = 'silent'
})
afterAll(() => house.close())

describe('the published list of problems', () => {
  test('is the table that errors are made from', async () => {
    const list = await house.visitor().take<ProblemList>('GET', '/api/problems')
    expect(list.problems).toEqual(problemList())
  })

  test('holds nothing that is never said', () => {
    const folder = join(import.meta.dirname, '../../server')
    const texts = readdirSync(folder, { recursive: true, encoding: 'utf8' })
      .filter((name) => name.endsWith('.ts') && !name.startsWith('generated') && name !== 'errors.ts')
      .map((name) => readFileSync(join(folder, name), 'utf8'))
      .join('\n')
    const unused = problemList().filter(({ code }) => !texts.includes(`'${code}'`))
    expect(unused.map(({ code }) => code)).toEqual([])
  })

  test('has a sentence for everything', () => {
    for (const { title, explanation } of problemList())
      expect([title, explanation]).toEqual([expect.stringMatching(/\.$/), expect.stringMatching(/\.$/)])
  })
})

describe('an answer that is an error', () => {
  test('has the form of RFC 9457', async () => {
    const response = await house.visitor().get('/api/courses')
    expect(response.headers['content-type']).toBe('application/problem+json; charset=utf-8')
    expect(response.json<ProblemDetails>()).toEqual({
      type: '/api/problems#not-signed-in',
      code: 'not-signed-in',
      title: 'Nobody is signed in.',
      status: 401,
      detail: 'Nobody is signed in.',
      instance: expect.stringMatching(/^[0-9a-f-]{36}$/),
    })
  })

  test('points at every part of the request that is wrong', async () => {
    const response = await house.visitor().post('/api/session', { userName: 'x'.repeat(50), colour: 'red' })
    expect(response.json<ProblemDetails>().errors).toEqual([
      { pointer: '/password', message: "'password' is missing" },
      { pointer: '/colour', message: "unknown field 'colour'" },
      { pointer: '/userName', message: expect.stringContaining('40') },
    ])
  })

  test.each([
    ['broken JSON', '{"userName":', 'application/json', 400, 'invalid-json'],
    ['an empty body', '', 'application/json', 400, 'invalid-json'],
    ['a form of a web page', 'userName=x', 'application/x-www-form-urlencoded', 415, 'media-type'],
    ['a body of a megabyte', JSON.stringify({ a: 'x'.repeat(1_000_000) }), 'application/json', 413, 'body-too-large'],
  ])('names %s', async (_what, payload, type, status, code) => {
    const response = await house.app.inject({
      method: 'POST',
      url: '/api/session',
      headers: { 'content-type': type },
      payload,
    })
    expect(response.json<ProblemDetails>()).toMatchObject({ status, code })
  })

  test('that is a mistake of the server tells nothing but the request id', async () => {
    const visitor = await house.person('mia')
    await house.database.prisma.$executeRaw`alter table "Membership" rename to "Hidden"`
    const response = await visitor.get('/api/courses')
    await house.database.prisma.$executeRaw`alter table "Hidden" rename to "Membership"`
    expect(response.json<ProblemDetails>()).toMatchObject({
      status: 500,
      code: 'internal',
      detail: 'The server made a mistake.',
    })
    expect(response.body).not.toMatch(/Membership|prisma|select|\/server\//i)
  })
})
