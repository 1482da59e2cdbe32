import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { brotliCompressSync, constants, gzipSync } from 'node:zlib'
import type { Plugin, Rollup } from 'vite'
import { pagesDigest, stampFile } from '../server/pages-build.ts'

/** What compresses; typefaces are compressed in themselves. */
const compressible = /\.(js|css|html|svg|json)$/
/** Bytes below which an own header costs more than compressing saves. */
const smallest = 1024

/** Where the build writes how much a browser loads of each page. */
export const sizesFile = join('dist', 'web-sizes.json')

/** Bytes on the wire, compressed by Brotli, that a page needs beyond what the pages before it have loaded. */
export type Sizes = Readonly<Record<string, number>>

/**
 * Writes each file compressed beside it, by Brotli and gzip, at the strongest setting, as it is done once; and how much a
 * browser loads to show each page. The stamp says what all was made from.
 */
export function pageFiles(root: string): Plugin {
  return {
    name: 'page-files',
    apply: 'build',
    generateBundle: {
      order: 'post',
      handler(_options, bundle) {
        const wire = new Map<string, number>()
        for (const file of Object.values(bundle)) {
          const content = Buffer.from(file.type === 'chunk' ? file.code : file.source)
          wire.set(file.fileName, content.length)
          if (!compressible.test(file.fileName) || content.length < smallest) continue
          const brotli = brotliCompressSync(content, {
            params: { [constants.BROTLI_PARAM_SIZE_HINT]: content.length },
          })
          wire.set(file.fileName, brotli.length)
          this.emitFile({ type: 'asset', fileName: `${file.fileName}.br`, source: brotli })
          this.emitFile({ type: 'asset', fileName: `${file.fileName}.gz`, source: gzipSync(content, { level: 9 }) })
        }
        const sizes = sizesOf(bundle, wire)
        mkdirSync(dirname(join(root, sizesFile)), { recursive: true })
        writeFileSync(join(root, sizesFile), `${JSON.stringify(sizes, null, 2)}\n`)
        this.info(
          Object.entries(sizes)
            .map(([page, bytes]) => `${page} ${(bytes / 1000).toFixed(1)} kB`)
            .join(', '),
        )
      },
    },
    closeBundle() {
      writeFileSync(join(root, stampFile), `${pagesDigest(root)}\n`)
    },
  }
}

/** Of the entry and of each page that is loaded when it is gone to: scripts and styles with all that they import. */
function sizesOf(bundle: Rollup.OutputBundle, wire: ReadonlyMap<string, number>): Sizes {
  const chunks = Object.values(bundle).filter((file) => file.type === 'chunk')
  const entry = chunks.find(({ isEntry }) => isEntry)
  if (entry === undefined) throw new Error('The build has no entry.')
  function needs(first: readonly string[]): Set<string> {
    const found = new Set<string>()
    const add = (name: string): void => {
      if (found.has(name)) return
      found.add(name)
      const file = bundle[name]
      if (file?.type !== 'chunk') return
      for (const each of [...file.imports, ...(file.viteMetadata?.importedCss ?? [])]) add(each)
    }
    for (const name of first) add(name)
    return found
  }
  const sum = (names: Iterable<string>): number => [...names].reduce((bytes, name) => bytes + (wire.get(name) ?? 0), 0)
  const pages = chunks.filter(({ isDynamicEntry, name }) => isDynamicEntry && /(Page|Route)$/.test(name))
  return {
    entry: sum([...needs([entry.fileName]), 'index.html']),
    ...Object.fromEntries(
      pages
        .map((page): [string, number] => [page.name, sum([...needs([entry.fileName, page.fileName]), 'index.html'])])
        .sort(([a], [b]) => (a < b ? -1 : 1)),
    ),
  }
}
