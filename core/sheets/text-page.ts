import type { Cell, Column, Page, Table } from './page.ts'

/** A sheet as plain text: columns of fixed width, `____` where there is something to write. */
export function textPage({ title, intro, tables }: Page): string {
  const lines = [title, '='.repeat(title.length), '', ...intro.flatMap((sentence) => wrapped(sentence, 78))]
  for (const table of tables) lines.push('', ...tableLines(table))
  return lines.map((line) => `${line.trimEnd()}\n`).join('')
}

/** A sentence in lines of at most `width` characters, broken at blanks. */
export function wrapped(sentence: string, width: number): string[] {
  const lines: string[] = []
  let line = ''
  for (const word of sentence.split(' ')) {
    if (line !== '' && line.length + 1 + word.length > width) {
      lines.push(line)
      line = ''
    }
    line = line === '' ? word : `${line} ${word}`
  }
  return [...lines, line]
}

function tableLines({ caption, columns, rows }: Table): string[] {
  const widths = columns.map((column, i) =>
    Math.max(
      column.title.length,
      column.width,
      ...rows.flatMap((row) => cellLines(row[i] ?? '', column).map((line) => line.length)),
    ),
  )
  const line = (cells: readonly string[]): string =>
    columns
      .map(({ align }, i) => {
        const cell = cells[i] ?? ''
        const width = widths[i] ?? 0
        return align === 'right' ? cell.padStart(width) : cell.padEnd(width)
      })
      .join('  ')
  const out = caption === null ? [] : [caption]
  out.push(line(columns.map(({ title }) => title)), widths.map((width) => '-'.repeat(width)).join('  '))
  for (const row of rows) {
    const cells = columns.map((column, i) => cellLines(row[i] === undefined ? '' : row[i], column))
    const height = Math.max(...cells.map((lines) => lines.length))
    for (let i = 0; i < height; i += 1) out.push(line(cells.map((lines) => lines[i] ?? '')))
  }
  return out
}

function cellLines(cell: Cell, column: Column): string[] {
  return cell === null ? ['_'.repeat(column.width)] : cell.split('\n')
}
