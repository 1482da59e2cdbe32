import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { ProblemDetails } from '../../../server/contract/index.ts'
import { openHouse, type House } from '../harness.ts'

let house: House
const folder = mkdtempSync(join(tmpdir(), 'hexcairn-pages-'))
beforeAll(async () => {
  mkdirSync(join(folder, 'assets'))
  writeFileSync(join(folder, 'index.html'), '<title>the pages</title>')
  writeFileSync(join(folder, 'assets', 'main-4f2a.js'), 'export {}')
  writeFileSync(join(folder, 'assets', 'main-4f2a.js.br'), 'by Brotli')
  writeFileSync(join(folder, 'assets', 'main-4f2a.js.gz'), 'by gzip')
  house = await openHouse({ config: { webFolder: folder } })
})
afterAll(async () => {
  await house.close()
  rmSync(folder, { recursive: true, force: true })
})

describe('the pages', () => {
  test.each(['/', '/courses/abc', '/submissions/x/trace?case=plain&step=12'])(
    'at %s are the application',
    async (url) => {
      const response = await house.visitor().get(url)
      expect([response.statusCode, response.headers['content-type']]).toEqual([200, 'text/html; charset=utf-8'])
      expect(response.body).toContain('the pages')
      expect(response.headers['cache-control']).toBe('no-cache')
    },
  )

  test('keep files with a digest in their name for good', async () => {
    const response = await house.visitor().get('/assets/main-4f2a.js')
    expect(response.headers['cache-control']).toContain('immutable')
  })

  test.each([
    ['br, gzip', 'br', 'by Brotli'],
    ['gzip, deflate', 'gzip', 'by gzip'],
    ['identity', undefined, 'export {}'],
  ])('come compressed as the browser takes them: %s', async (accepts, encoding, body) => {
    const response = await house.visitor().get('/assets/main-4f2a.js', { 'accept-encoding': accepts })
    expect([response.statusCode, response.headers['content-encoding'], response.body]).toEqual([200, encoding, body])
    expect(response.headers).toMatchObject({
      vary: 'accept-encoding',
      'content-type': expect.stringContaining('/javascript'),
      'cache-control': 'public, max-age=31536000, immutable',
    })
  })

  test.each(['/assets/old-1111.js', '/favicon.ico', '/api/nothing', '/../package.json'])(
    'at %s, which is not there, are a problem and not the application',
    async (url) => {
      const response = await house.visitor().get(url)
      expect(response.statusCode).toBe(404)
      expect(response.json<ProblemDetails>().code).toBe('not-found')
    },
  )

  test('are not posted to', async () => {
    expect((await house.visitor().post('/courses/abc', {})).statusCode).toBe(404)
  })
})

describe('the description of the API', () => {
  test('has every route with its answers, and problems for what goes wrong', async () => {
    const document = await house.visitor().take<{
      openapi: string
      paths: Record<string, Record<string, { summary?: string; responses: Record<string, unknown> }>>
    }>('GET', '/api/openapi.json')
    expect(document.openapi).toBe('3.1.0')
    const operations = Object.entries(document.paths).flatMap(([path, methods]) =>
      Object.entries(methods).map(([method, operation]) => ({ name: `${method} ${path}`, operation })),
    )
    expect(operations.length).toBeGreaterThan(30)
    for (const { name, operation } of operations) {
      expect([name, operation.summary]).toEqual([name, expect.any(String)])
      expect([name, Object.keys(operation.responses)]).toEqual([name, expect.arrayContaining(['4XX', '5XX'])])
    }
  })
})
