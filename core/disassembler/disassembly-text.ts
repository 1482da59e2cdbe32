import type { DisassembledLine } from './disassemble.ts'

/** As long as an assembler reads them; a comment is cut there. */
const longestLine = 1000

/** A disassembly as a source text that assembles to the same image. */
export function toText(lines: readonly DisassembledLine[]): string {
  return lines.map((line) => `${lineText(line)}\n`).join('')
}

/** One line as source text, without its line end: label, instruction, comment. */
export function lineText({ label, text, comment, kind }: DisassembledLine): string {
  const isEqu = kind === 'other' && text.startsWith('EQU ')
  const name = label === null ? '' : isEqu ? label : `${label}:`
  const body = `${name.padEnd(8)} ${text}`
  if (comment === null || comment === '') return body.trimEnd()
  // A line end within a comment would make source text of what follows.
  const line = `${body.padEnd(32)} ; ${comment.replace(/\s+/g, ' ')}`
  return line.length <= longestLine ? line : `${line.slice(0, longestLine - 1)}…`
}
