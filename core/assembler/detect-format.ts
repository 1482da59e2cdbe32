import { textLines } from '../image/index.ts'
import type { ProgramFormat } from './program.ts'

/** Lines looked at: enough to tell, and soon done on five megabytes of anything. */
const linesLookedAt = 200

/**
 * What a text most likely is. Intel HEX when its first line begins with a colon. A hex dump when nothing but hexadecimal
 * digits and addresses stand in it, or when at least six of ten words are bytes: a slip in a dump should be told as one, not
 * as a strange instruction. Assembly otherwise.
 */
export function detectFormat(text: string): ProgramFormat {
  const lines = textLines(text.slice(0, 100 * linesLookedAt))
    .slice(0, linesLookedAt)
    .map((line) => line.replace(/;.*/, '').trim())
    .filter((line) => line !== '')
  if (lines.length === 0) return 'assembly'
  if (lines[0]?.startsWith(':') === true) return 'intel-hex'
  if (lines.filter((line) => /^:[0-9A-F]{8}/i.test(line)).length * 2 > lines.length) return 'intel-hex'
  const words = lines.flatMap((line) => line.replace(/\sS=.. W=..$/i, '').split(/\s+/))
  const bytes = words.filter((word) => isDumpWord(word))
  return bytes.length >= 0.6 * words.length ? 'hex' : 'assembly'
}

function isDumpWord(word: string): boolean {
  return /^(?:[0-9A-F]{2})+$/i.test(word) || /^[0-9A-F]{4}:(?:[0-9A-F]{2})*$/i.test(word)
}
