import { createReadStream } from 'node:fs'
import { Readable, type Writable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { createGunzip, createGzip } from 'node:zlib'
import { BackupFault } from './document.ts'

/** Compresses lines into a stream, and ends it. */
export async function writeLines(lines: AsyncIterable<string>, to: Writable, signal?: AbortSignal): Promise<void> {
  await pipeline(Readable.from(lines), createGzip(), to, signal === undefined ? {} : { signal })
}

/** The lines of a compressed file; `-` is standard input. */
export async function* readLines(file: string): AsyncGenerator<string> {
  const source: Readable = file === '-' ? process.stdin : createReadStream(file)
  const unpacked = createGunzip()
  source.once('error', (error) => unpacked.destroy(error))
  source.pipe(unpacked).setEncoding('utf8')
  let rest = ''
  try {
    for await (const part of unpacked as AsyncIterable<string>) {
      // Only at line feeds: a text may hold other signs that some take for the end of a line.
      const lines = (rest + part).split('\n')
      rest = lines.pop() ?? ''
      yield* lines
    }
  } catch (error) {
    throw packingFault(error)
  } finally {
    source.destroy()
  }
  if (rest !== '') yield rest
}

/** What zlib says of a file that is no gzip, or that is cut off or damaged. */
function packingFault(error: unknown): unknown {
  const { code } = error as NodeJS.ErrnoException
  if (code === 'Z_DATA_ERROR') return new BackupFault('The file is no backup, or it is damaged: it cannot be unpacked.')
  if (code === 'Z_BUF_ERROR') return new BackupFault('The backup is cut off: its end is missing.')
  return error
}
