import { spawn, type ChildProcess } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import net from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import { classmates, signIns } from '../../../server/demo/people.ts'
import { demoMark } from '../../../server/commands/demo-mark.ts'
import { openEmbedded } from '../../../server/store/embedded.ts'
import { migrate } from '../../../server/store/migrations.ts'
import { settingOnce } from '../../../server/store/settings.ts'

vi.setConfig({ hookTimeout: 300_000, testTimeout: 300_000 })

const children: ChildProcess[] = []
const folders: string[] = []
afterEach(() => {
  for (const child of children.splice(0)) child.kill('SIGKILL')
})
afterAll(() => {
  for (const folder of folders) rmSync(folder, { recursive: true, force: true })
})

function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-start-'))
  folders.push(folder)
  return folder
}

const pages = newFolder()
writeFileSync(join(pages, 'index.html'), '<title>pages</title>')

interface Run {
  readonly child: ChildProcess
  text(): string
  /** Waits for a line; its first group or the whole. */
  line(pattern: RegExp): Promise<string>
  /** Exit code, and how long it took from now. */
  ended(): Promise<{ code: number | null; ms: number }>
}

/** Runs `serve` or `demo` as a process of its own. */
function start(command: 'serve' | 'demo', options: Record<string, unknown>): Run {
  const module = new URL(`../../../server/commands/${command}.ts`, import.meta.url).href
  const script = `
    const { ${command} } = await import(${JSON.stringify(module)})
    process.exitCode = await ${command}(${JSON.stringify(options)})`
  const { DATABASE_URL: _url, ...env } = process.env
  const child = spawn(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script], {
    // Pages are not what is tested here, and building them takes longer than all the rest.
    env: { ...env, LOG_LEVEL: 'error', HEXCAIRN_PAGES: pages },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  children.push(child)
  let text = ''
  for (const stream of [child.stdout, child.stderr]) stream?.on('data', (data: Buffer) => (text += String(data)))
  const exit = new Promise<number | null>((resolve) => child.once('exit', (code) => resolve(code)))
  let isOver = false
  void exit.then(() => (isOver = true))
  return {
    child,
    text: () => text,
    line: async (pattern) => {
      for (;;) {
        const match = pattern.exec(text)
        if (match !== null) return match[1] ?? match[0]
        if (isOver) throw new Error(`it ended without ${pattern}: ${text}`)
        await new Promise((resolve) => setTimeout(resolve, 50))
      }
    },
    ended: async () => {
      const began = Date.now()
      return { code: await exit, ms: Date.now() - began }
    },
  }
}

async function takenPort(): Promise<{ port: number; free: () => void }> {
  const server = net.createServer()
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const address = server.address()
  return {
    port: address !== null && typeof address === 'object' ? address.port : 0,
    free: () => server.close(),
  }
}

describe('a server that cannot start says why in one line, with exit code 2:', () => {
  test.each(['serve', 'demo'] as const)('%s on a port that is taken', async (command) => {
    const { port, free } = await takenPort()
    const run = start(command, { port, ...(command === 'serve' ? { data: newFolder() } : {}) })
    expect((await run.ended()).code).toBe(2)
    expect(run.text()).toBe(`Port ${port} of 127.0.0.1 is taken by another program. Choose another one with --port.\n`)
    free()
  })

  test('settings that cannot be used', async () => {
    const run = start('serve', { port: '99999', role: 'cook' })
    expect((await run.ended()).code).toBe(2)
    expect(run.text()).toBe(
      "role: found 'cook', allowed web, grader, all.\nport: found '99999', allowed a whole number from 0 to 65535.\n",
    )
  })

  test('a database that was made by the demo', async () => {
    const data = newFolder()
    const database = await openEmbedded({ folder: data })
    await migrate(database)
    await settingOnce(database, demoMark, () => 'then')
    await database.close()
    const run = start('serve', { port: 0, data })
    expect((await run.ended()).code).toBe(2)
    expect(run.text()).toContain('This database was made by hexcairn demo.')
  })
})

describe('serve', () => {
  const data = newFolder()
  let run: Run
  let address = ''
  beforeAll(async () => {
    run = start('serve', { port: 0, data })
    address = await run.line(/listens at (\S+)/)
  })

  test('prints a set-up link, takes no second process on its folder, and ends quickly', async () => {
    const link = await run.line(/(http\S+\/set-up#\S+)/)
    expect(link.startsWith(`${address}/set-up#`)).toBe(true)
    const second = start('serve', { port: 0, data })
    expect((await second.ended()).code).toBe(2)
    expect(second.text()).toContain(`The database folder ${data} is in use by another hexcairn process.`)

    const setUpToken = link.split('#')[1]
    const account = { userName: 'first', displayName: 'First', password: 'a long passphrase', setUpToken }
    const created = await fetch(`${address}/api/accounts`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(account),
    })
    expect(created.status).toBe(201)

    for (const { userName } of [...Object.values(signIns), ...classmates]) {
      const known = ['copper-signal-41', 'amber-switch-27', 'green-lantern-16']
      for (const password of known) {
        const response = await fetch(`${address}/api/session`, {
          method: 'POST',
          headers: { 'content-type': 'application/json' },
          body: JSON.stringify({ userName, password }),
        })
        expect(response.status).toBe(401)
      }
    }

    run.child.kill('SIGTERM')
    const { code, ms } = await run.ended()
    expect(code).toBe(0)
    expect(ms).toBeLessThan(4000)

    const again = start('serve', { port: 0, data })
    await again.line(/listens at (\S+)/)
    await new Promise((resolve) => setTimeout(resolve, 300))
    expect(again.text()).not.toContain('set-up')
    again.child.kill('SIGINT')
    expect((await again.ended()).code).toBe(0)
  })
})
