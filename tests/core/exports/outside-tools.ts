import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** Whether a program of that name can be started here. */
export function has(name: string, ...words: readonly string[]): boolean {
  return spawnSync(name, words, { stdio: 'ignore' }).error === undefined
}

/** What a program prints, on both of its outputs; throws where it fails. */
export function output(name: string, ...words: readonly string[]): string {
  const { status, stdout, stderr } = spawnSync(name, words, { encoding: 'utf8', maxBuffer: 1e9 })
  if (status !== 0) throw new Error(`${name} ${words.join(' ')}: ${status} ${stderr}`)
  return stdout + stderr
}

/** Runs with a folder of its own, which is gone afterwards. */
export function inFolder<T>(use: (path: (name: string) => string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-exports-'))
  try {
    return use((name) => join(folder, name))
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}
