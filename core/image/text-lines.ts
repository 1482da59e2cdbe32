/** Most characters a text may have that is read as a program. The disassembly of all 64 KiB with comments stays below. */
export const maxTextLength = 4_000_000

/**
 * The lines of a text, whichever of LF, CR LF or CR ends them. A byte order mark in front is no part of the text: editors
 * put it there unasked. A line end after the last line makes no further line.
 */
export function textLines(text: string): string[] {
  const body = text.charCodeAt(0) === 0xfeff ? text.slice(1) : text
  const lines = body.split(/\r\n|\n|\r/)
  if (lines.length > 1 && lines[lines.length - 1] === '') lines.pop()
  return lines
}
