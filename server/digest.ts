import { createHash } from 'node:crypto'
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'

/** SHA-256, as hexadecimal, of the names and contents of files and of everything in folders; what is not there is left out. */
export function digestOfFiles(root: string, names: readonly string[]): string {
  const hash = createHash('sha256')
  const add = (name: string): void => {
    const path = join(root, name)
    if (!existsSync(path)) return
    if (statSync(path).isDirectory()) {
      for (const entry of readdirSync(path).sort()) add(`${name}/${entry}`)
      return
    }
    const content = readFileSync(path)
    hash.update(`${name} ${content.length}\n`).update(content)
  }
  for (const name of names) add(name)
  return hash.digest('hex')
}
