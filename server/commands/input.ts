import { closeSync, existsSync, openSync, readSync, statSync } from 'node:fs'
import { reasonOf } from './file-fault.ts'
import { CommandProblem } from './output.ts'

/** Largest file a command reads, in bytes: far above any program for a 64 KB machine. */
const largestFile = 4 * 1024 * 1024

/** Read a file as text; `-` is standard input. A file that cannot be read or is too large is a `CommandProblem`. */
export function readText(file: string): string {
  return readBytes(file).toString('utf8')
}

/** The same as bytes, for binary images. */
export function readBytes(file: string): Buffer {
  const name = file === '-' ? 'standard input' : file
  if (file !== '-' && !existsSync(file)) throw new CommandProblem('file-not-found', `There is no file ${file}.`)
  try {
    if (file === '-') return readAll(0, name)
    if (statSync(file).isDirectory())
      throw new CommandProblem('file-is-folder', `${file} is a folder; a file was wanted.`)
    const descriptor = openSync(file, 'r')
    try {
      return readAll(descriptor, name)
    } finally {
      closeSync(descriptor)
    }
  } catch (error) {
    if (error instanceof CommandProblem) throw error
    throw new CommandProblem('cannot-read', `${name} cannot be read: ${reasonOf(error)}.`)
  }
}

/** Reads to the end, whatever kind of file it is: a pipe or a device does not say how long it is. */
function readAll(descriptor: number, name: string): Buffer {
  const parts: Buffer[] = []
  let size = 0
  for (;;) {
    const part = Buffer.alloc(64 * 1024)
    const count = readPart(descriptor, part)
    if (count === 0) return Buffer.concat(parts)
    parts.push(part.subarray(0, count))
    size += count
    if (size > largestFile)
      throw new CommandProblem('file-too-large', `${name} has more than ${largestFile} bytes, the most that is read.`)
  }
}

/** A pipe whose writer is slow says that there is nothing yet. */
function readPart(descriptor: number, part: Buffer): number {
  for (;;) {
    try {
      return readSync(descriptor, part)
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException
      if (code === 'EOF') return 0
      if (code !== 'EAGAIN') throw error
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 20)
    }
  }
}

/** A hexadecimal address as people write it: `4000`, `4000h`, `0x4000`, `$4000`. */
export function readAddress(text: string, option: string): number {
  const digits = /^(?:0x|\$|#)?([0-9a-f]{1,4})h?$/i.exec(text.trim())?.[1]
  if (digits === undefined)
    throw new CommandProblem(
      'bad-address',
      `${option} is '${text}'; an address of one to four hexadecimal digits was wanted.`,
    )
  return Number.parseInt(digits, 16)
}

/** A whole number from `least` to `most`; digits may be grouped with _ . */
export function readCount(text: string, option: string, least: number, most: number): number {
  const value = /^[0-9_]+$/.test(text) ? Number(text.replaceAll('_', '')) : Number.NaN
  if (!Number.isSafeInteger(value) || value < least || value > most)
    throw new CommandProblem(
      'bad-number',
      `${option} is '${text}'; a whole number from ${least} to ${most} was wanted.`,
    )
  return value
}
