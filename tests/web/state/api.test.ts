import { describe, expect, test } from 'vitest'
import { Api } from '../../../web/state/api.ts'
import { ApiFault } from '../../../web/state/fault.ts'

type Sent = { path: string; request: RequestInit }

function answering(response: () => Response) {
  const sent: Sent[] = []
  const api = new Api((path, request) => {
    sent.push({ path: String(path), request: request ?? {} })
    return Promise.resolve(response())
  })
  return { api, sent }
}

const problem = {
  type: '/api/problems#invalid',
  code: 'invalid',
  title: 'Not valid',
  status: 422,
  detail: 'The document has a fault.',
  instance: 'req-7',
  errors: [{ pointer: '/cases/0', message: 'no such check', line: 4 }],
}
const refusing = () =>
  answering(
    () =>
      new Response(JSON.stringify(problem), { status: 422, headers: { 'content-type': 'application/problem+json' } }),
  )

describe('a call', () => {
  test('puts names into the path, escaped, and leaves out of the query what is undefined', async () => {
    const { api, sent } = answering(() => Response.json({ items: [], next: null }))
    await api.call('GET /api/exercises/:exerciseId/submissions', {
      params: { exerciseId: 'a/b' },
      query: { limit: '20', studentId: undefined as never },
    })
    expect(sent[0]?.path).toBe('/api/exercises/a%2Fb/submissions?limit=20')
  })

  test('sends its body as JSON and its headers along', async () => {
    const { api, sent } = answering(() => Response.json({}))
    await api.call('POST /api/courses/join', { body: { code: 'TRAM' }, headers: { 'idempotency-key': 'k' } })
    expect(sent[0]?.request).toMatchObject({
      method: 'POST',
      body: '{"code":"TRAM"}',
      headers: { 'content-type': 'application/json', 'idempotency-key': 'k' },
    })
  })

  test('gives null for an answer without content', async () => {
    const { api } = answering(() => new Response(null, { status: 204 }))
    expect(await api.call('DELETE /api/session')).toBeNull()
  })

  test('throws what the server says is wrong, with the message for each place', async () => {
    const fault = await refusing()
      .api.call('GET /api/courses')
      .catch((error: unknown) => error)
    expect(fault).toBeInstanceOf(ApiFault)
    expect(fault).toMatchObject({ code: 'invalid', status: 422, message: 'The document has a fault.' })
    expect((fault as ApiFault).at('/cases/0')).toBe('no such check')
    expect((fault as ApiFault).at('/other')).toBeNull()
  })

  test('says that nothing answered when nothing did, and that it may pass', async () => {
    const api = new Api(() => Promise.reject(new TypeError('failed')))
    const fault = await api.call('GET /api/courses').catch((error: unknown) => error)
    expect(fault).toMatchObject({ code: 'no-answer', status: null, isPassing: true })
  })

  test('does not show a foreign page as if the server had said it', async () => {
    const { api } = answering(() => new Response('<h1>Bad gateway</h1>', { status: 502 }))
    const fault = await api.call('GET /api/courses').catch((error: unknown) => error)
    expect(fault).toMatchObject({ code: 'unknown-answer', status: 502, problem: null })
  })
})
