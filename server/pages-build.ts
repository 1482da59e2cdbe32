import { existsSync, readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import type { build } from 'vite'
import { packageRoot } from './package-root.ts'
import { StartFault } from './start-fault.ts'

/** What the pages are made from. */
const sources = ['web', 'core', join('server', 'contract'), 'vite.config.ts', 'package-lock.json']

/** Where the built pages are. Builds them when they are missing or older than their sources, and says so. */
export async function readyPages(say: (line: string) => void): Promise<string> {
  const folder = join(packageRoot, 'dist', 'web')
  const index = join(folder, 'index.html')
  const built = existsSync(index) ? statSync(index).mtimeMs : 0
  if (built > newestOf(sources.map((name) => join(packageRoot, name)))) return folder
  const vite = await loadVite()
  // An installation without the tools for building comes with its pages built.
  if (vite === null && built > 0) return folder
  if (vite === null) throw new StartFault('The pages are not built: run npm run build.')
  say('Building the pages …')
  try {
    await vite.build({ configFile: join(packageRoot, 'vite.config.ts'), logLevel: 'silent' })
  } catch (error) {
    throw new StartFault(`The pages could not be built: ${(error as Error).message}`)
  }
  return folder
}

async function loadVite(): Promise<{ readonly build: typeof build } | null> {
  try {
    return await import('vite')
  } catch {
    return null
  }
}

function newestOf(paths: readonly string[]): number {
  let newest = 0
  for (const path of paths) {
    if (!existsSync(path)) continue
    const stat = statSync(path)
    newest = Math.max(newest, stat.mtimeMs)
    if (stat.isDirectory()) newest = Math.max(newest, newestOf(readdirSync(path).map((name) => join(path, name))))
  }
  return newest
}
