import { parse } from 'csv-parse/sync'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'

const folder = join(import.meta.dirname, '../../fixtures/reference')

/** The rows of a table of tests/fixtures/reference (its README names where each comes from), by column name. */
export function referenceRows(file: string): readonly Readonly<Record<string, string>>[] {
  return parse(readFileSync(join(folder, file), 'utf8'), { columns: true, relax_quotes: true })
}
