import type { PlainSql } from '../store/plain-sql.ts'
import {
  BackupFault,
  format,
  isRow,
  parseHeading,
  parseLine,
  TableDigest,
  type Ending,
  type Heading,
  type TableEnd,
} from './document.ts'
import type { Watch } from './progress.ts'
import {
  advanceCounters,
  describeTables,
  insertRows,
  readTable,
  withoutReferences,
  type Row,
  type Table,
} from './tables.ts'

/** What a backup holds, after all of it was read and each table agreed with its count and digest. */
export interface Checked {
  readonly heading: Heading
  readonly tables: readonly TableEnd[]
}

/** Where rows go: a database, or nowhere when a file is only checked. */
interface Destination {
  readonly begin?: (heading: Heading) => Promise<void>
  readonly take?: (table: string, rows: readonly Row[]) => Promise<void>
  readonly end?: (table: TableEnd) => Promise<void>
}

/** Rows and bytes that are written at once. */
const [mostRows, mostBytes] = [500, 1_000_000]

/** Reads a whole backup and holds each table against its count and digest. Throws a `BackupFault` for what disagrees. */
export async function checkLines(
  lines: AsyncIterable<string>,
  watch: Watch = {},
  to: Destination = {},
): Promise<Checked> {
  const reader = lines[Symbol.asyncIterator]()
  let number = 0
  async function next(): Promise<string> {
    watch.signal?.throwIfAborted()
    const { value, done } = await reader.next()
    number += 1
    if (done === true) throw new BackupFault(`The backup ends after ${number - 1} lines: the rest of it is missing.`)
    return value
  }

  const heading = parseHeading(await next())
  await to.begin?.(heading)
  const tables: TableEnd[] = []
  for (const { name, columns, rows } of heading.tables) {
    const digest = new TableDigest()
    let [batch, bytes]: [Row[], number] = [[], 0]
    for (; digest.rows < rows;) {
      const row = parseLine(await next(), number)
      if (!isRow(row) || row.length !== columns.length)
        throw new BackupFault(`Line ${number} of the backup is no row of ${name}.`)
      bytes += digest.add(row).length
      batch.push(row)
      if (batch.length >= mostRows || bytes >= mostBytes) {
        await to.take?.(name, batch)
        watch.onProgress?.({ table: name, done: digest.rows, rows })
        ;[batch, bytes] = [[], 0]
      }
    }
    if (batch.length > 0) await to.take?.(name, batch)
    watch.onProgress?.({ table: name, done: digest.rows, rows })
    const said = parseLine(await next(), number) as Partial<TableEnd> | null
    const found = digest.end(name)
    if (said?.table !== name || said.rows !== found.rows || said.sha256 !== found.sha256)
      throw new BackupFault(`The table ${name} of the backup is damaged: its rows have another digest than it says.`)
    await to.end?.(found)
    tables.push(found)
  }
  if ((parseLine(await next(), number) as Partial<Ending> | null)?.end !== format)
    throw new BackupFault(`Line ${number} of the backup is not its end.`)
  if ((await reader.next()).done !== true) throw new BackupFault('The backup goes on after its end.')
  return { heading, tables }
}

/**
 * Writes all rows of a backup into the empty tables that its own migrations have made, and reads them back: each table has to
 * have the digest that the backup says. Nothing stays of a transaction in which this fails.
 */
export async function loadLines(sql: PlainSql, lines: AsyncIterable<string>, watch: Watch = {}): Promise<Checked> {
  const known = new Map((await describeTables(sql)).map((table) => [table.name, table]))
  const restoreReferences = await withoutReferences(sql)
  const tableOf = (name: string, columns?: readonly string[]): Table => {
    const table = known.get(name)
    const found = table?.columns.map((column) => column.name).join(' ')
    if (table === undefined || (columns !== undefined && found !== columns.join(' ')))
      throw new BackupFault(`The table ${name} of the backup is not one that its migrations make.`)
    return table
  }
  const checked = await checkLines(lines, watch, {
    begin: async ({ tables }) => {
      for (const { name, columns } of tables) tableOf(name, columns)
    },
    take: (name, rows) => insertRows(sql, tableOf(name), rows),
    end: async ({ table: name, sha256 }) => {
      const table = tableOf(name)
      const digest = new TableDigest()
      for await (const row of readTable(sql, table)) digest.add(row)
      if (digest.end(name).sha256 !== sha256)
        throw new BackupFault(`The table ${name} is not the same after it was written. Nothing was restored.`)
      await advanceCounters(sql, table)
    },
  })
  await restoreReferences()
  return checked
}
