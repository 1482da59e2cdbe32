import fc from 'fast-check'
import type { RouteOptions } from 'fastify'
import { once } from 'node:events'
import net from 'node:net'
import { WebSocket } from 'ws'
import { openHouse, type House } from '../harness.ts'
import { openClass, rightProgram, type Class } from '../sample.ts'
import type { Submission } from '../../../server/contract/index.ts'
import { costOf, tooDear, type Cost } from './cost.ts'
import type { Parser } from './parsers.ts'
import { anyRequest, type StrangeRequest } from './requests.ts'
import { anyText } from './texts.ts'

export interface Trial {
  readonly name: string
  readonly cases: number
  readonly dearest: Cost
  /** What went wrong, with the smallest case found for it; null when nothing did. */
  readonly failure: string | null
}

export interface TrialOptions {
  readonly seed: number
  readonly cases: number
}

async function trial<T>(
  name: string,
  cases: fc.Arbitrary<T>,
  { seed, cases: numRuns }: TrialOptions,
  one: (each: T, note: (cost: Cost) => void) => Promise<string | null>,
): Promise<Trial> {
  const dearest = { cpuMs: 0, megabytes: 0 }
  const note = ({ cpuMs, megabytes }: Cost): void => {
    dearest.cpuMs = Math.max(dearest.cpuMs, cpuMs)
    dearest.megabytes = Math.max(dearest.megabytes, megabytes)
  }
  const found = await fc.check(
    fc.asyncProperty(cases, async (each) => {
      const complaint = await one(each, note)
      if (complaint !== null) throw new Error(complaint)
    }),
    { seed, numRuns, interruptAfterTimeLimit: 600_000 },
  )
  const { seed: used, counterexamplePath, counterexample, errorInstance } = found
  const failure = found.failed
    ? `${String(errorInstance)}, seed ${used}, path ${counterexamplePath}: ${JSON.stringify(counterexample).slice(0, 300)}`
    : null
  return { name, cases: found.numRuns, dearest, failure }
}

/** A parser may throw for nothing that stands in a text, and takes little for each. */
export function tryParser({ name, texts, read }: Parser, options: TrialOptions): Promise<Trial> {
  return trial(name, texts, options, async (text, note) => {
    const cost = await costOf(() => read(text))
    note(cost)
    return tooDear(cost)
  })
}

export interface FuzzedServer {
  readonly routes: readonly RouteOptions[]
  tryRoute(route: RouteOptions, options: TrialOptions): Promise<Trial>
  trySocket(options: TrialOptions): Promise<Trial>
  tryConnection(options: TrialOptions): Promise<Trial>
  close(): Promise<void>
}

/** A whole server with a class in it; nothing is graded meanwhile. */
export async function openFuzzedServer(): Promise<FuzzedServer> {
  const routes: RouteOptions[] = []
  const house = await openHouse({
    limits: { passwordFailures: 1e6, accounts: 1e6 },
    onRoute: (route) => routes.push(route),
  })
  const group = await openClass(house)
  const handIn = `/api/exercises/${group.exercise.id}/submissions`
  const { id: submissionId } = await group.student.take<Submission>('POST', handIn, rightProgram)
  const ids = { courseId: group.course.id, exerciseId: group.exercise.id, submissionId, userId: group.student.id }
  const address = await house.app.listen({ host: '127.0.0.1', port: 0 })
  house.app.server.requestTimeout = 300
  house.app.server.headersTimeout = 300
  return {
    // Signing out would end the session of all that follows.
    routes: routes.filter(
      ({ method, url }) =>
        url.startsWith('/api/') && !/HEAD|OPTIONS/.test(`${method}`) && `${method} ${url}` !== 'DELETE /api/session',
    ),
    tryRoute: (route, options) =>
      trial(`${[route.method].flat()[0]} ${route.url}`, anyRequest(route, ids), options, (request, note) =>
        answerTo(house, group, request, note),
      ),
    trySocket: (options) =>
      trial('websocket messages', fc.array(message, { maxLength: 20 }), options, (messages) =>
        talk(house, address, group, messages),
      ),
    tryConnection: (options) =>
      trial('bytes on a connection', bytes, options, (text) => exchange(Number(new URL(address).port), text)),
    close: () => house.close(),
  }
}

async function answerTo(
  house: House,
  group: Class,
  request: StrangeRequest,
  note: (cost: Cost) => void,
): Promise<string | null> {
  let complaint: string | null = null
  const signedIn = group.instructor.headers
  const cost = await costOf(async () => {
    const { statusCode, headers, body } = await house.app.inject({
      ...request,
      headers: { ...signedIn, ...request.headers },
    })
    if (statusCode >= 500) complaint = `${statusCode} ${body.slice(0, 500)}`
    else if (statusCode >= 400 && !`${headers['content-type']}`.startsWith('application/problem+json'))
      complaint = `${statusCode} of type ${headers['content-type']}`
  })
  note(cost)
  return complaint ?? tooDear(cost)
}

const message = fc.oneof(
  anyText(
    ['{"kind":"watch","courseId":"x"}', '{"kind":"unwatch-submission","submissionId":"y"}'],
    ['"kind":', '{', '['],
  ),
  fc.json({ maxDepth: 4 }),
)

/** Messages on one live view: each is answered or ends the view, and the server goes on. */
async function talk(house: House, address: string, group: Class, messages: readonly string[]): Promise<string | null> {
  const socket = new WebSocket(`${address.replace('http', 'ws')}/api/live`, { headers: group.student.headers })
  await once(socket, 'open')
  let complaint: string | null = null
  const closed = new Promise<void>((resolve) => {
    socket.on('close', (code: number) => {
      if (code === 1011) complaint = 'closed with 1011: a mistake of the server'
      resolve()
    })
  })
  for (const each of messages) socket.send(each)
  // What is too much or too large closes it from the other side; else it is closed from here.
  socket.close()
  await closed
  const { statusCode } = await house.app.inject({ url: '/api/session', headers: group.student.headers })
  return complaint ?? (statusCode === 200 ? null : `then ${statusCode}`)
}

const bytes = anyText(
  [
    'GET /api/session HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n',
    'POST /api/session HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}',
    'GET /api/live HTTP/1.1\r\nHost: x\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Key: eA==\r\nSec-WebSocket-Version: 13\r\n\r\n',
    'POST /api/session HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n',
  ],
  [
    '\r\n',
    'Content-Length: 5\r\n',
    'Transfer-Encoding: chunked\r\n',
    'GET ',
    ' HTTP/1.1',
    ': ',
    '\r\n\r\n',
    'FFFFFFFF\r\n',
  ],
)

/** A connection ends within the times for a request, and no answer on it is a mistake of the server. */
function exchange(port: number, text: string): Promise<string | null> {
  return new Promise((resolve) => {
    let reply = ''
    const socket = net.connect(port, '127.0.0.1', () => socket.end(text))
    const hang = setTimeout(() => {
      socket.destroy()
      resolve('still open after 20 s')
    }, 20_000)
    socket.on('data', (data) => (reply += String(data)))
    socket.on('error', () => {})
    socket.on('close', () => {
      clearTimeout(hang)
      resolve(/^HTTP\/1\.1 5/m.test(reply) ? reply.slice(0, 500) : null)
    })
  })
}
