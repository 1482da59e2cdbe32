import net from 'node:net'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { openHouse, type House } from '../harness.ts'

let house: House
let port = 0
beforeAll(async () => {
  house = await openHouse()
  house.app.server.requestTimeout = 500
  house.app.server.headersTimeout = 500
  await house.app.listen({ host: '127.0.0.1', port: 0 })
  const address = house.app.server.address()
  port = address !== null && typeof address === 'object' ? address.port : 0
})
afterAll(() => house.close())

/** Sends text as it is, and gives what came back until the connection closed. */
function exchange(text: string): Promise<string> {
  return new Promise((resolve, reject) => {
    let reply = ''
    const socket = net.connect(port, '127.0.0.1', () => socket.write(text))
    socket.on('data', (data) => (reply += String(data)))
    socket.on('error', reject)
    socket.on('close', () => resolve(reply))
  })
}

const post = 'POST /api/session HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n'

describe('what never became a request is answered by problem details (RFC 9457) and the connection closed', () => {
  test.each([
    ['no HTTP', 'hello\r\n\r\n', 400, 'not-http'],
    ['a method that does not exist', 'BREW /api/session HTTP/1.1\r\nHost: x\r\n\r\n', 400, 'not-http'],
    ['headers of 20 KB', `GET / HTTP/1.1\r\nHost: x\r\nX: ${'a'.repeat(20_000)}\r\n\r\n`, 431, 'headers-too-large'],
    ['half a body', `${post}Content-Length: 100\r\n\r\n{"userName":`, 408, 'request-timeout'],
    ['half a header', post.slice(0, 40), 408, 'request-timeout'],
  ])('%s', async (_what, text, status, code) => {
    const [head = '', body = ''] = (await exchange(text)).split('\r\n\r\n')
    expect(head).toMatch(new RegExp(`^HTTP/1.1 ${status} `))
    expect(head).toContain('application/problem+json')
    expect(JSON.parse(body)).toMatchObject({ status, code })
  })
})

test.each([['/api/courses/%ZZ'], ['/%E0%A4%A'], ['/api/%']])(
  'an address with a broken escape, %s, is problem details too',
  async (url) => {
    const response = await house.app.inject({ method: 'GET', url })
    expect(response.headers['content-type']).toBe('application/problem+json; charset=utf-8')
    expect(response.json()).toMatchObject({ status: 400, code: 'invalid-request' })
  },
)

test('what the API answers is kept by no cache', async () => {
  for (const url of ['/api/session', '/api/courses', '/api/nowhere'])
    expect((await house.app.inject(url)).headers['cache-control']).toBe('no-store')
})

test('a connection on which nothing moves is closed, and only so many are held', () => {
  const { timeout, maxConnections } = house.app.server
  expect([timeout, maxConnections]).toEqual([120_000, 10_000])
})
