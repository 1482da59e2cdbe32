#!/usr/bin/env node
// Starts the command line from the built program where there is one, else from the sources.
import { existsSync } from 'node:fs'

const built = new URL('../dist/server/commands/main.js', import.meta.url)
if (process.env.HEXCAIRN_BUILT === '1' && existsSync(built)) await import(built.href)
else {
  const { register } = await import('tsx/esm/api')
  register()
  await import(new URL('../server/commands/main.ts', import.meta.url).href)
}
