/**
 * What the first start would otherwise have to make, done at `npm ci`: the pages, and an empty database to begin from. Each
 * knows by a digest what it was made from. A failure stops no installation: the start tries again and says why.
 */
import { readyPages } from '../server/pages-build.ts'
import { emptyTemplate } from '../server/store/template.ts'

try {
  await readyPages(console.log)
  await emptyTemplate()
} catch (error) {
  console.error(`prepare: ${error instanceof Error ? error.message : String(error)}`)
}
