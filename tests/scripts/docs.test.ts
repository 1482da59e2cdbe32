import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { describe, expect, test } from 'vitest'

const root = resolve(import.meta.dirname, '../..')
const scripts = Object.keys(
  (JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { scripts: object }).scripts,
)

function pagesBelow(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name)
    if (entry.isDirectory())
      return ['node_modules', 'dist', '.git', 'generated', 'fixtures', '.hexcairn'].includes(entry.name)
        ? []
        : pagesBelow(path)
    return entry.name.endsWith('.md') ? [path] : []
  })
}

const pages = pagesBelow(root)

describe('the documentation', () => {
  test.each(pages.map((page) => [page.slice(root.length + 1), page]))('%s names only what exists', (_name, page) => {
    const text = readFileSync(page, 'utf8')
    const commands = [...text.matchAll(/npm run (?:-s )?([a-z][a-z:-]*)/g)].map((match) => match[1] ?? '')
    expect(commands.filter((command) => !scripts.includes(command))).toEqual([])

    const links = [...text.matchAll(/\]\((?!https?:|#|mailto:)([^)#\s]+)/g)].map((match) => match[1] ?? '')
    expect(links.filter((link) => !existsSync(resolve(dirname(page), link)))).toEqual([])

    const paths = [...text.matchAll(/`((?:core|server|web|prisma|tests|scripts|docs|bin)\/[\w./-]*\w)`/g)]
    const missing = paths.map((match) => match[1] ?? '').filter((path) => !existsSync(join(root, path)))
    expect(missing).toEqual([])
  })
})
