import { commandLine } from './command-line.ts'

/** What cannot be printed: a reader that has seen enough is no fault, a full disk is one. */
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') return
  process.stderr.write(`hexcairn: Standard output cannot be written: ${error.message}.\n`)
  process.exitCode = 2
})
// Nobody is left to tell.
process.stderr.on('error', () => undefined)

const code = await commandLine(process.argv.slice(2))
process.exitCode ??= code
