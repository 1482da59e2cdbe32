import { execFileSync } from 'node:child_process'
import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('../../', import.meta.url))

export interface Built {
  /** What one of our scripts prints, in a process of its own. */
  run(script: string, ...words: readonly string[]): unknown
  close(): void
}

/**
 * Scripts of tests/benchmarks compiled as a container has them (tsconfig.build.json). From the sources, tsx would have the
 * host name every function again each time it is made, which a grade of 4 million T-states takes half as long again for.
 */
export function built(scripts: readonly string[]): Built {
  // Inside node_modules, so that packages are found.
  const folder = mkdtempSync(join(root, 'node_modules/.hexcairn-bench-'))
  const config = join(folder, 'tsconfig.json')
  const settings = {
    extends: join(root, 'tsconfig.build.json'),
    compilerOptions: { outDir: folder, rootDir: root, sourceMap: false, noCheck: true, types: [] },
    files: scripts.map((name) => join(root, 'tests/benchmarks', name)),
    include: [],
  }
  writeFileSync(config, JSON.stringify(settings))
  writeFileSync(join(folder, 'package.json'), JSON.stringify({ type: 'module' }))
  execFileSync(process.execPath, [resolve(root, 'node_modules/typescript/bin/tsc'), '-p', config], { stdio: 'pipe' })
  const out = join(folder, 'tests/benchmarks')
  cpSync(join(root, 'tests/benchmarks/workloads'), join(out, 'workloads'), { recursive: true })
  return {
    run(script, ...words) {
      const file = join(out, script.replace(/\.ts$/, '.js'))
      return JSON.parse(execFileSync(process.execPath, [file, ...words], { encoding: 'utf8' }))
    },
    close: () => rmSync(folder, { recursive: true }),
  }
}
