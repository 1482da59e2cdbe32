import { execFileSync, spawn, type ChildProcess } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import type { IncomingMessage } from 'node:http'
import https from 'node:https'
import net from 'node:net'
import { tmpdir } from 'node:os'
import { delimiter, join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { hashPassword } from '../../server/accounts/passwords.ts'
import { readConfig } from '../../server/config.ts'
import { cheapCost, openHouse, password, type House } from './harness.ts'
import { freePort } from './postgres.ts'

function programNamed(name: string): string | null {
  const folders = [...(process.env['PATH'] ?? '').split(delimiter), '/usr/sbin']
  return folders.map((folder) => join(folder, name)).find((file) => existsSync(file)) ?? null
}

/** A configuration as operators find it, with this test's ports and certificate in place of its own. */
function configured(language: string, changes: readonly (readonly [string, string])[]): string {
  const page = readFileSync('docs/operators.md', 'utf8')
  const text = new RegExp('```' + language + '\\n(.*?)```', 's').exec(page)?.[1] ?? ''
  return changes.reduce((made, [from, to]) => {
    if (!made.includes(from)) throw new Error(`the ${language} lines have no ${from}`)
    return made.replaceAll(from, to)
  }, text)
}

const proxies = {
  nginx: {
    file: programNamed('nginx'),
    write(folder: string, port: number, server: number) {
      const lines = configured('nginx', [
        ['listen 443', `listen 127.0.0.1:${port}`],
        ['/etc/ssl/certs/cairn.pem', join(folder, 'certificate.pem')],
        ['/etc/ssl/private/cairn.key', join(folder, 'key.pem')],
        ['127.0.0.1:8080', `127.0.0.1:${server}`],
      ])
      const places = ['client_body', 'proxy', 'fastcgi', 'uwsgi', 'scgi']
      const own = places.map((place) => `${place}_temp_path ${join(folder, place)};`).join('\n')
      writeFileSync(
        join(folder, 'nginx.conf'),
        `daemon off;\npid ${join(folder, 'pid')};\nerror_log stderr;\nevents {}\nhttp {\naccess_log off;\n${own}\n${lines}}\n`,
      )
      return ['-p', folder, '-c', join(folder, 'nginx.conf')]
    },
  },
  haproxy: {
    file: programNamed('haproxy'),
    write(folder: string, port: number, server: number) {
      const both = ['certificate.pem', 'key.pem'].map((name) => readFileSync(join(folder, name), 'utf8')).join('')
      writeFileSync(join(folder, 'both.pem'), both)
      const lines = configured('haproxy', [
        ['bind :443', `bind 127.0.0.1:${port}`],
        ['/etc/ssl/private/cairn.pem', join(folder, 'both.pem')],
        ['127.0.0.1:8080', `127.0.0.1:${server}`],
      ])
      writeFileSync(join(folder, 'haproxy.cfg'), lines)
      return ['-db', '-f', join(folder, 'haproxy.cfg')]
    },
  },
}
const openssl = programNamed('openssl')

/** A request by https; the certificate is the test's own. */
function ask(
  url: string,
  { method = 'GET', headers = {}, body }: { method?: string; headers?: Record<string, string>; body?: object } = {},
): Promise<{ readonly response: IncomingMessage; readonly text: string; readonly isUpgraded: boolean }> {
  return new Promise((resolve, reject) => {
    const sent = body === undefined ? {} : { 'content-type': 'application/json' }
    const request = https.request(url, { method, headers: { ...sent, ...headers }, rejectUnauthorized: false })
    request.on('response', (response) => {
      let text = ''
      response.setEncoding('utf8')
      response.on('data', (chunk: string) => (text += chunk))
      response.on('end', () => resolve({ response, text, isUpgraded: false }))
    })
    request.on('upgrade', (response, socket) => {
      socket.destroy()
      resolve({ response, text: '', isUpgraded: true })
    })
    request.on('error', reject)
    request.end(body === undefined ? undefined : JSON.stringify(body))
  })
}

function answers(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = net.connect(port, '127.0.0.1')
    socket.on('connect', () => resolve((socket.destroy(), true)))
    socket.on('error', () => resolve(false))
  })
}

describe.each(Object.entries(proxies))('behind %s, by https', (_, { file, write }) => {
  describe.skipIf(file === null || openssl === null)('as operators are told to set it up', () => {
    let house: House
    let running: ChildProcess
    let origin: string
    let folder: string
    beforeAll(async () => {
      folder = mkdtempSync(join(tmpdir(), 'hexcairn-proxy-'))
      const pair = ['-keyout', join(folder, 'key.pem'), '-out', join(folder, 'certificate.pem')]
      const words = ['req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-days', '1', '-subj', '/CN=localhost', ...pair]
      execFileSync(openssl ?? '', words, { stdio: 'ignore' })
      const port = await freePort()
      origin = `https://localhost:${port}`
      const { publicOrigin, trustedProxy } = readConfig({ HEXCAIRN_ORIGIN: origin, HEXCAIRN_PROXY: '1' })
      house = await openHouse({ config: { publicOrigin, trustedProxy }, limits: { passwordFailures: 3 } })
      await house.database.prisma.user.create({
        data: {
          ...{ userName: 'iris.vale', userNameKey: 'iris.vale', displayName: 'Iris Vale' },
          passwordHash: await hashPassword(password, cheapCost),
        },
      })
      await house.app.listen({ host: '127.0.0.1', port: 0 })
      const own = house.app.server.address() as net.AddressInfo
      running = spawn(file ?? '', write(folder, port, own.port), { stdio: 'ignore' })
      while (!(await answers(port))) {
        if (running.exitCode !== null) throw new Error(`the proxy ended with ${running.exitCode}`)
        await pause(50)
      }
    })
    afterAll(async () => {
      running?.kill()
      await house?.close()
      rmSync(folder, { recursive: true, force: true })
    })

    test('a person signs in, stays signed in, and hears news over a websocket', async () => {
      const body = { userName: 'iris.vale', password }
      const signedIn = await ask(`${origin}/api/session`, { method: 'POST', body, headers: { origin } })
      expect(signedIn.response.statusCode).toBe(200)
      const cookies = signedIn.response.headers['set-cookie'] ?? []
      const set = cookies.find((each) => each.startsWith('__Host-hexcairn=')) ?? ''
      expect(set).toMatch(/; Secure/)
      expect(cookies.find((each) => each.startsWith('__Host-hexcairn-device='))).toMatch(/; Secure/)
      const cookie = set.split(';')[0] ?? ''
      const session = await ask(`${origin}/api/session`, { headers: { cookie } })
      expect(JSON.parse(session.text)).toMatchObject({ user: { userName: 'iris.vale' } })
      const upgrade = {
        ...{ connection: 'Upgrade', upgrade: 'websocket', 'sec-websocket-version': '13' },
        'sec-websocket-key': Buffer.from('sixteen bytes of').toString('base64'),
      }
      const live = (headers: object) => ask(`${origin}/api/live`, { headers: { ...upgrade, cookie, ...headers } })
      expect(await live({ origin })).toMatchObject({ isUpgraded: true, response: { statusCode: 101 } })
      expect((await live({ origin: 'https://elsewhere.example' })).isUpgraded).toBe(false)
    })

    test('an address that a browser made up is not believed: tries are counted by where they come from', async () => {
      const statuses: (number | undefined)[] = []
      for (let n = 1; n <= 5; n++) {
        const headers = { 'x-forwarded-for': `203.0.113.${n}` }
        const body = { userName: 'someone.else', password: 'wrong words here' }
        statuses.push((await ask(`${origin}/api/session`, { method: 'POST', body, headers })).response.statusCode)
      }
      expect(statuses).toEqual([401, 401, 401, 429, 429])
    })
  })
})
