import { spawn } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { digestOfFiles } from './digest.ts'
import { packageRoot } from './package-root.ts'
import { StartFault } from './start-fault.ts'

/** What the pages are made from. */
const sources = ['web', 'core', 'server/contract', 'vite.config.ts', 'scripts/page-files.ts', 'package-lock.json']

/** Where the build writes what the pages were made from. */
export const stampFile = join('dist', 'web.digest')

/** Of everything that the pages are made from. */
export function pagesDigest(root: string = packageRoot): string {
  return digestOfFiles(root, sources)
}

/**
 * Where the built pages are. `npm ci` and `npm run build` make them; when they are missing, or made from other sources than
 * stand here, they are built in a process of its own, and it says so. An installation without sources comes with its pages.
 */
export async function readyPages(say: (line: string) => void, root: string = packageRoot): Promise<string> {
  const folder = join(root, 'dist', 'web')
  const isBuilt = existsSync(join(folder, 'index.html'))
  const hasSources = existsSync(join(root, 'web', 'index.html'))
  if (isBuilt && (!hasSources || stampIn(root) === pagesDigest(root))) return folder
  const vite = hasSources ? viteOf(root) : null
  if (vite === null && isBuilt) return folder
  if (vite === null) throw new StartFault('The pages are not built: run npm run build.')
  say(isBuilt ? 'The pages have changed: building them …' : 'Building the pages …')
  await build(vite, root)
  return folder
}

function stampIn(root: string): string {
  const file = join(root, stampFile)
  return existsSync(file) ? readFileSync(file, 'utf8').trim() : ''
}

function viteOf(root: string): string | null {
  try {
    return join(dirname(createRequire(join(root, 'package.json')).resolve('vite/package.json')), 'bin', 'vite.js')
  } catch {
    return null
  }
}

/** Building takes hundreds of megabytes that a process never gives back, so the server does not do it itself. */
async function build(vite: string, root: string): Promise<void> {
  const child = spawn(process.execPath, [vite, 'build', '--logLevel', 'error'], {
    cwd: root,
    stdio: ['ignore', 'ignore', 'pipe'],
  })
  let said = ''
  child.stderr.setEncoding('utf8').on('data', (text: string) => (said += text))
  const code = await new Promise<number | null>((resolve, reject) => {
    child.once('error', reject)
    child.once('close', resolve)
  })
  if (code !== 0) throw new StartFault(`The pages could not be built: ${said.trim() || `vite ended with ${code}`}`)
}
