import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { pagesDigest, readyPages, stampFile } from '../../server/pages-build.ts'
import { packageRoot } from '../../server/package-root.ts'
import { sizesFile } from '../../scripts/page-files.ts'

vi.setConfig({ testTimeout: 300_000 })

describe('the pages', () => {
  let root = ''
  const said: string[] = []
  const write = (name: string, text: string): void => {
    mkdirSync(dirname(join(root, name)), { recursive: true })
    writeFileSync(join(root, name), text)
  }
  const ready = (): Promise<string> => readyPages((line) => said.push(line), root)
  /** Stands for the build tool: writes what it is asked for, or fails. */
  const tool = (script: string): void => {
    write('node_modules/vite/package.json', '{"name":"vite","exports":{"./package.json":"./package.json"}}')
    write('node_modules/vite/bin/vite.js', script)
  }
  beforeEach(() => {
    said.length = 0
    root = mkdtempSync(join(tmpdir(), 'hexcairn-build-'))
    write('package.json', '{}')
    write('web/index.html', 'source')
  })
  afterEach(() => rmSync(root, { recursive: true, force: true }))

  test('that were built from these very sources are taken as they are', async () => {
    write('dist/web/index.html', 'built')
    write(stampFile, `${pagesDigest(root)}\n`)
    expect(await ready()).toBe(join(root, 'dist', 'web'))
    expect(said).toEqual([])
  })

  test('are built again, in another process, when a source has changed, whatever its date', async () => {
    write('dist/web/index.html', 'built')
    write(stampFile, pagesDigest(root))
    write('web/index.html', 'changed')
    tool(`require('fs').writeFileSync('dist/web/index.html', 'by ' + process.pid)`)
    await ready()
    expect(said).toEqual(['The pages have changed: building them …'])
    expect(readFileSync(join(root, 'dist/web/index.html'), 'utf8')).toMatch(/^by \d+$/)
    expect(readFileSync(join(root, 'dist/web/index.html'), 'utf8')).not.toBe(`by ${process.pid}`)
  })

  test('that cannot be built are told with the reason', async () => {
    tool(`console.error('web/App.svelte: no closing tag'); process.exit(1)`)
    await expect(ready()).rejects.toThrow('The pages could not be built: web/App.svelte: no closing tag')
  })

  test('of an installation without sources or tools are those it came with', async () => {
    await expect(ready()).rejects.toThrow('The pages are not built: run npm run build.')
    write('dist/web/index.html', 'built')
    expect(await ready()).toBe(join(root, 'dist', 'web'))
    rmSync(join(root, 'web'), { recursive: true })
    expect(await ready()).toBe(join(root, 'dist', 'web'))
    expect(said).toEqual([])
  })
})

test('a browser loads no more of a page than it may, compressed', async () => {
  await readyPages(() => {})
  const sizes = JSON.parse(readFileSync(join(packageRoot, sizesFile), 'utf8')) as Record<string, number>
  // What is wanted is 60 kB to sign in and 250 kB for an exercise; this is what holds, and it may only fall.
  expect(sizes['entry']).toBeLessThan(90_000)
  expect(sizes['ExercisePage']).toBeLessThan(350_000)
  expect(Object.keys(sizes).length).toBeGreaterThan(15)
})
