import { spawn, type ChildProcess } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { root } from './hexcairn.ts'

const children: ChildProcess[] = []

export function killProcesses(): void {
  for (const child of children.splice(0)) child.kill('SIGKILL')
}

let pages: string | null = null

// Pages are not what is tested here, and building them takes longer than all the rest.
function emptyPages(): string {
  if (pages !== null) return pages
  pages = mkdtempSync(join(tmpdir(), 'hexcairn-pages-'))
  const folder = pages
  writeFileSync(join(folder, 'index.html'), '<title>pages</title>')
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }))
  return folder
}

export interface ServerProcess {
  readonly child: ChildProcess
  text(): string
  /** Waits for a line; its first group or the whole. */
  line(pattern: RegExp): Promise<string>
  /** Exit code, and how long it took from now. */
  ended(): Promise<{ code: number | null; ms: number }>
}

/** Runs a command as a process of its own, with nothing set but `env`. */
export function start(words: readonly string[], env: Record<string, string> = {}): ServerProcess {
  const plain = Object.entries(process.env).filter(([name]) => !/^(HEXCAIRN_|DATABASE_URL$|HOST$|PORT$)/.test(name))
  const child = spawn(process.execPath, [join(root, 'bin/hexcairn.js'), ...words], {
    env: { ...Object.fromEntries(plain), LOG_LEVEL: 'error', HEXCAIRN_PAGES: emptyPages(), ...env },
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
