import { quoted, type PlainSql } from '../store/plain-sql.ts'

/** A table as the database itself describes it. */
export interface Table {
  readonly name: string
  readonly columns: readonly Column[]
  /** Columns of the primary key, in its order. */
  readonly key: readonly string[]
}

export interface Column {
  readonly name: string
  /** As SQL names it in a cast: `timestamp(3) with time zone`. */
  readonly type: string
}

/** A row as texts of its values, in the order of the columns. */
export type Row = readonly (string | null)[]

/** What tells of this moment only, or is written by the migrations themselves. */
const notKept = ['_prisma_migrations', 'LiveGrader']

/** Every table there is, by name. Older databases have fewer. */
export async function describeTables(sql: PlainSql): Promise<readonly Table[]> {
  const columns = await sql.rows(`
    select c.relname::text, a.attname::text, format_type(a.atttypid, a.atttypmod)
    from pg_class c join pg_attribute a on a.attrelid = c.oid
    where c.relnamespace = current_schema()::regnamespace and c.relkind = 'r' and a.attnum > 0 and not a.attisdropped
    order by c.relname collate "C", a.attnum`)
  const keys = await sql.rows(`
    select c.relname::text, a.attname::text
    from pg_index i join pg_class c on c.oid = i.indrelid
      cross join lateral unnest(i.indkey::int2[]) with ordinality as k (attnum, place)
      join pg_attribute a on a.attrelid = c.oid and a.attnum = k.attnum
    where c.relnamespace = current_schema()::regnamespace and i.indisprimary
    order by c.relname collate "C", k.place`)
  const tables = new Map<string, { columns: Column[]; key: string[] }>()
  for (const [table = '', name = '', type = ''] of columns as string[][]) {
    if (notKept.includes(table)) continue
    const own = tables.get(table) ?? { columns: [], key: [] }
    own.columns.push({ name, type })
    tables.set(table, own)
  }
  for (const [table = '', name = ''] of keys as string[][]) tables.get(table)?.key.push(name)
  return [...tables].map(([name, own]) => ({ name, ...own }))
}

export async function countRows(sql: PlainSql, table: string): Promise<number> {
  const [row] = await sql.rows(`select count(*)::text from ${quoted(table)}`)
  return Number(row?.[0])
}

/** Rows that come at once: some megabytes where reports are long. */
const batch = 100

/** All rows in the order of the primary key, by the bytes of its text, which is the same on every server. */
export async function* readTable(sql: PlainSql, { name, columns, key }: Table): AsyncGenerator<Row> {
  const texts = columns.map((column) => `${quoted(column.name)}::text`).join(', ')
  const order = key.length === 0 ? '' : `order by ${key.map((each) => `${quoted(each)}::text collate "C"`).join(', ')}`
  await sql.rows(`declare hexcairn_rows no scroll cursor for select ${texts} from ${quoted(name)} ${order}`)
  for (;;) {
    const rows = await sql.rows(`fetch ${batch} from hexcairn_rows`)
    yield* rows
    if (rows.length < batch) break
  }
  await sql.rows('close hexcairn_rows')
}

export async function insertRows(sql: PlainSql, { name, columns }: Table, rows: readonly Row[]): Promise<void> {
  const names = columns.map((column) => quoted(column.name)).join(', ')
  const values = columns.map(({ type }, place) => `(r->>${place})::${type}`).join(', ')
  await sql.rows(`insert into ${quoted(name)} (${names}) select ${values} from json_array_elements($1::text::json) r`, [
    JSON.stringify(rows),
  ])
}

/** Makes the counters behind columns go on after what stands there. */
export async function advanceCounters(sql: PlainSql, { name, columns }: Table): Promise<void> {
  for (const column of columns) {
    const [found] = await sql.rows('select pg_get_serial_sequence($1::text, $2::text)', [quoted(name), column.name])
    const sequence = found?.[0]
    if (sequence !== null && sequence !== undefined)
      await sql.rows(
        `select setval($1::text::regclass, greatest(1, max(${quoted(column.name)})), count(*) > 0)::text from ${quoted(name)}`,
        [sequence],
      )
  }
}

/**
 * Takes the references between tables away, so that rows may come in any order, and gives the function that puts them back;
 * that fails when a row refers to one that is not there.
 */
export async function withoutReferences(sql: PlainSql): Promise<() => Promise<void>> {
  const references = (await sql.rows(`
    select conrelid::regclass::text, conname::text, pg_get_constraintdef(oid) from pg_constraint
    where contype = 'f' and connamespace = current_schema()::regnamespace order by 1, 2`)) as string[][]
  for (const [table = '', name = ''] of references)
    await sql.rows(`alter table ${table} drop constraint ${quoted(name)}`)
  return async () => {
    for (const [table = '', name = '', definition = ''] of references)
      await sql.rows(`alter table ${table} add constraint ${quoted(name)} ${definition}`)
  }
}
