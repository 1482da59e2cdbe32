import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { createServer, type AddressInfo } from 'node:net'
import { join, resolve } from 'node:path'

const root = resolve(import.meta.dirname, '../..')

export interface DemoServer {
  readonly address: string
  readonly signIns: Readonly<Record<'instructor' | 'assistant' | 'student', { userName: string; password: string }>>
  stop(): Promise<void>
}

/** Starts the demo as a new user would, on a free port, and waits until the class is graded. */
export async function startDemo(): Promise<DemoServer> {
  const port = await freePort()
  const child = spawn(process.execPath, [join(root, 'bin/hexcairn.js'), 'demo', '--port', String(port)], {
    cwd: root,
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let printed = ''
  const exited = once(child, 'exit')
  await new Promise<void>((ready, failed) => {
    const read = (chunk: Buffer): void => {
      printed += chunk.toString()
      if (/^Ready\./m.test(printed)) ready()
    }
    child.stdout.on('data', read)
    child.stderr.on('data', read)
    void exited.then(() => failed(new Error(`the demo stopped:\n${printed}`)))
  })
  const signIn = (role: string): { userName: string; password: string } => {
    const [, userName, password] = new RegExp(`^\\s*${role}\\s+(\\S+)\\s+(\\S+)`, 'm').exec(printed) ?? []
    if (userName === undefined || password === undefined) throw new Error(`no sign-in for ${role} in:\n${printed}`)
    return { userName, password }
  }
  return {
    address: `http://127.0.0.1:${port}`,
    signIns: { instructor: signIn('instructor'), assistant: signIn('assistant'), student: signIn('student') },
    stop: async () => {
      child.kill('SIGTERM')
      await exited
    },
  }
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1')
  await once(server, 'listening')
  const { port } = server.address() as AddressInfo
  server.close()
  await once(server, 'close')
  return port
}
