/** SQL in one transaction, on a connection that is not the client's. Every value comes as text, in the order of its columns. */
export interface PlainSql {
  rows(text: string, values?: readonly unknown[]): Promise<readonly (readonly (string | null)[])[]>
}

/**
 * What makes texts of values the same on every server: zone, order of dates, and all digits of a number. `read` sees one
 * moment of the whole database and can change nothing.
 */
export async function prepareSession(sql: PlainSql, mode: 'read' | 'write'): Promise<void> {
  if (mode === 'read') await sql.rows('set transaction isolation level repeatable read read only')
  for (const setting of ["timezone = 'UTC'", "datestyle = 'ISO, YMD'", 'extra_float_digits = 1'])
    await sql.rows(`set local ${setting}`)
}

/** An identifier as SQL takes it, whatever stands in it. */
export function quoted(name: string): string {
  return `"${name.replaceAll('"', '""')}"`
}
