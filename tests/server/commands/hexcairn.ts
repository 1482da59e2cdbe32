import { spawnSync } from 'node:child_process'
import { join, resolve } from 'node:path'

export const root = resolve(import.meta.dirname, '../../..')

/** Runs the command line as a user would, in a process of its own. */
export function hexcairn(words: readonly string[], input = ''): { code: number | null; out: string; err: string } {
  const { status, stdout, stderr } = spawnSync(process.execPath, [join(root, 'bin/hexcairn.js'), ...words], {
    cwd: root,
    input,
    encoding: 'utf8',
  })
  return { code: status, out: stdout, err: stderr }
}
