/** One value of a table. Text is guarded against being taken for a formula; numbers are written as they are. */
export type Cell = string | number | null

const lineEnd = '\r\n'
/** What a spreadsheet takes for the begin of a formula, or drops so that one comes to the front. */
const formulaStart = /^[=+\-@\t\r\n\0]/

/** A table as CSV (RFC 4180): CRLF behind every line, quotes where needed, a quote within doubled. */
export function csv(header: readonly string[], rows: Iterable<readonly Cell[]>): string {
  const lines = [header.map(field).join(',')]
  for (const row of rows) lines.push(row.map(field).join(','))
  return lines.map((line) => line + lineEnd).join('')
}

function field(cell: Cell): string {
  if (cell === null) return ''
  if (typeof cell === 'number') return `${cell}`
  const text = formulaStart.test(cell) ? `'${cell}` : cell
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}
