import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'

function readVersion(): string {
  for (let folder = import.meta.dirname; folder !== dirname(folder); folder = dirname(folder)) {
    const file = join(folder, 'package.json')
    if (existsSync(file)) return (JSON.parse(readFileSync(file, 'utf8')) as { version: string }).version
  }
  throw new Error('package.json is not above the server.')
}

/** Of the package this server was started from. */
export const version = readVersion()
