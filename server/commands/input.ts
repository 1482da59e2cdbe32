import { existsSync, readFileSync, statSync } from 'node:fs'
import { CommandProblem } from './output.ts'

/** Largest file a command reads, in bytes: far above any program for a 64 KB machine. */
const largestFile = 4 * 1024 * 1024

/** Read a file as text; `-` is standard input. A file that is not there or too large ends the command with code 2. */
export function readText(file: string): string {
  return readBytes(file).toString('utf8')
}

/** The same as bytes, for binary images. */
export function readBytes(file: string): Buffer {
  if (file === '-') return readFileSync(0)
  if (!existsSync(file)) throw new CommandProblem('file-not-found', `There is no file ${file}.`)
  const about = statSync(file)
  if (about.isDirectory()) throw new CommandProblem('file-is-folder', `${file} is a folder; a file was wanted.`)
  if (about.size > largestFile)
    throw new CommandProblem('file-too-large', `${file} has ${about.size} bytes; at most ${largestFile} are read.`)
  return readFileSync(file)
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
