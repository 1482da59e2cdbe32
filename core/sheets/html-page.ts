import type { Cell, Column, Page, Table } from './page.ts'

/** Sizes of paper that a sheet can be printed on. */
export type Paper = 'A4' | 'Letter'

/** A sheet as a whole HTML page that prints on the paper asked for. It needs no other file and runs no script. */
export function htmlPage({ title, intro, tables }: Page, paper: Paper): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title>
<style>
${styles(paper)}
</style>
</head>
<body>
<h1>${escaped(title)}</h1>
${intro.map((sentence) => `<p>${escaped(sentence)}</p>`).join('\n')}
${tables.map(htmlTable).join('\n')}
</body>
</html>
`
}

function styles(paper: Paper): string {
  return `@page { size: ${paper} portrait; margin: 16mm 14mm; }
:root { color-scheme: light; }
body { margin: 0 auto; padding: 1rem; max-width: 182mm; background: #fff; color: #111;
  font: 10.5pt/1.4 'Atkinson Hyperlegible Next', 'Segoe UI', 'Helvetica Neue', sans-serif; }
h1 { margin: 0 0 0.4rem; font-size: 16pt; line-height: 1.2; }
p { margin: 0 0 0.35rem; max-width: 65ch; }
table { width: 100%; margin-top: 1rem; border-collapse: collapse;
  font: 10.5pt/1.5 'Atkinson Hyperlegible Mono', ui-monospace, 'DejaVu Sans Mono', Consolas, monospace; }
caption { padding-bottom: 0.3rem; text-align: left; font-weight: 700; }
thead { display: table-header-group; }
th { padding: 0 0.6em 0.2rem 0; border-bottom: 1.5pt solid #111; text-align: left; font-size: 9pt; font-weight: 700; }
td { padding: 0.25rem 0.6em 0.25rem 0; border-bottom: 0.5pt solid #999; vertical-align: top; white-space: pre; }
th.figures, td.figures { text-align: right; }
th:last-child, td:last-child { padding-right: 0; }
td.space::before { content: ''; display: inline-block; height: 1.3em; border: 0.75pt solid #555; width: var(--width); }
tr { break-inside: avoid; }
@media print { body { padding: 0; max-width: none; } }`
}

function htmlTable({ caption, columns, rows }: Table): string {
  const head = columns.map((column) => `<th scope="col"${classOf(column)}>${escaped(column.title)}</th>`).join('')
  const body = rows.map(
    (row) => `<tr>${columns.map((column, i) => htmlCell(row[i] === undefined ? '' : row[i], column)).join('')}</tr>`,
  )
  return `<table>
${caption === null ? '' : `<caption>${escaped(caption)}</caption>\n`}<thead><tr>${head}</tr></thead>
<tbody>
${body.join('\n')}
</tbody>
</table>`
}

function htmlCell(cell: Cell, column: Column): string {
  if (cell === null)
    return `<td class="${column.align === 'right' ? 'figures space' : 'space'}" style="--width: ${column.width + 1}ch"></td>`
  return `<td${classOf(column)}>${escaped(cell)}</td>`
}

function classOf({ align }: Column): string {
  return align === 'right' ? ' class="figures"' : ''
}

/** Text that means nothing to HTML, within elements and quoted attributes. */
function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
}
