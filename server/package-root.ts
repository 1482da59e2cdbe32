import { existsSync } from 'node:fs'
import { dirname, join } from 'node:path'

function find(): string {
  for (let folder = import.meta.dirname; folder !== dirname(folder); folder = dirname(folder))
    if (existsSync(join(folder, 'package.json'))) return folder
  throw new Error('package.json is not above the server.')
}

/** The checkout or installation, from sources and from the built server alike. */
export const packageRoot = find()
