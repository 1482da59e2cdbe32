import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { ProblemDetails } from '../../../server/contract/index.ts'
import { isCrossSite } from '../../../server/plugins/same-site.ts'
import { openHouse, password, type House } from '../harness.ts'

describe('a request from another site', () => {
  test.each([
    ['a program without a browser', {}, false],
    ['a page of this server', { host: 'cairn.example', origin: 'https://cairn.example' }, false],
    ['a typed address', { host: 'cairn.example', 'sec-fetch-site': 'none' }, false],
    ['another site', { host: 'cairn.example', origin: 'https://evil.example' }, true],
    ['another port of this host', { host: 'cairn.example:8080', origin: 'http://cairn.example:9090' }, true],
    ['a sandboxed frame', { host: 'cairn.example', origin: 'null' }, true],
    ['a sibling of this host', { host: 'cairn.example', 'sec-fetch-site': 'same-site' }, true],
    ['a browser that says so', { host: 'cairn.example', 'sec-fetch-site': 'cross-site' }, true],
  ])('is known by its headers: %s', (_what, headers, isCross) => {
    expect(isCrossSite(headers, null)).toBe(isCross)
  })

  test('behind a proxy the public name counts too', () => {
    const headers = { host: 'inner:8080', origin: 'https://cairn.example' }
    expect([isCrossSite(headers, null), isCrossSite(headers, 'https://cairn.example')]).toEqual([true, false])
  })
})

describe('the server', () => {
  let house: House
  beforeAll(async () => {
    house = await openHouse()
    await house.person('nia')
  })
  afterAll(() => house.close())

  test('takes no change from another site', async () => {
    const response = await house
      .visitor()
      .post('/api/session', { userName: 'nia', password }, { origin: 'https://evil.example' })
    expect(response.json<ProblemDetails>()).toMatchObject({ status: 403, code: 'cross-site' })
  })

  test('lets a page load scripts of its own only, and no frame around it', async () => {
    const { headers } = await house.visitor().get('/api/health')
    const policy = String(headers['content-security-policy'])
    expect(policy).toContain("script-src 'self' 'wasm-unsafe-eval'")
    expect(policy).toContain("object-src 'none'")
    expect(policy).toContain("frame-ancestors 'none'")
    expect(policy).not.toMatch(/script-src[^;]*'unsafe-/)
    expect(headers['x-content-type-options']).toBe('nosniff')
  })
})
