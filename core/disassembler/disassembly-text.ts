import type { DisassembledLine } from './disassemble.ts'

/** A disassembly as a source text that assembles to the same image. */
export function toText(lines: readonly DisassembledLine[]): string {
  return lines.map((line) => `${lineText(line)}\n`).join('')
}

/** One line as source text, without its line end: label, instruction, comment. */
export function lineText({ label, text, comment, kind }: DisassembledLine): string {
  const isEqu = kind === 'other' && text.startsWith('EQU ')
  const name = label === null ? '' : isEqu ? label : `${label}:`
  const body = `${name.padEnd(8)} ${text}`
  // A line end within a comment would make source text of what follows.
  return comment === null || comment === '' ? body.trimEnd() : `${body.padEnd(32)} ; ${comment.replace(/\s+/g, ' ')}`
}
