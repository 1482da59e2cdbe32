import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { packageRoot } from './package-root.ts'

/** Of the package this server was started from. */
export const version = (JSON.parse(readFileSync(join(packageRoot, 'package.json'), 'utf8')) as { version: string })
  .version
