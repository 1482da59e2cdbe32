import { createHash } from 'node:crypto'
import type { Row } from './tables.ts'

/** First line of a backup. A line is one JSON value; the file is the lines, compressed by gzip (RFC 1952). */
export interface Heading {
  readonly format: typeof format
  /** Versions of the program and of its engine. */
  readonly hexcairn: string
  readonly engine: string
  /** ISO 8601, UTC. */
  readonly madeAt: string
  readonly from: 'embedded' | 'postgresql'
  /** Names of the migrations that made the tables, oldest first. */
  readonly migrations: readonly string[]
  readonly tables: readonly { readonly name: string; readonly columns: readonly string[]; readonly rows: number }[]
}

/** After the rows of a table, each an array of texts. */
export interface TableEnd {
  readonly table: string
  readonly rows: number
  /** SHA-256 of the lines of the rows, each with its line feed, as hexadecimal. */
  readonly sha256: string
}

/** Last line; a file without it was cut off. */
export interface Ending {
  readonly end: typeof format
}

export const format = 'hexcairn-backup/1'

/** Why a file is no backup that can be used. */
export class BackupFault extends Error {
  constructor(message: string) {
    super(message)
    this.name = 'BackupFault'
  }
}

/** Counts and digests rows as they go by. */
export class TableDigest {
  readonly #hash = createHash('sha256')
  #rows = 0

  get rows(): number {
    return this.#rows
  }

  /** Takes a row up and gives its line. */
  add(row: Row): string {
    const line = `${JSON.stringify(row)}\n`
    this.#hash.update(line)
    this.#rows += 1
    return line
  }

  end(table: string): TableEnd {
    return { table, rows: this.#rows, sha256: this.#hash.digest('hex') }
  }
}

export function parseHeading(line: string): Heading {
  const value = parseLine(line, 1) as Partial<Heading> | null
  if (value === null || typeof value !== 'object' || value.format !== format) {
    const found = (value as { format?: unknown } | null)?.format
    throw new BackupFault(
      typeof found === 'string'
        ? `The backup has the format '${found.slice(0, 40)}', allowed ${format}: read it with the Hexcairn that wrote it.`
        : `The file is no backup: its first line does not name ${format}.`,
    )
  }
  const { hexcairn, engine, madeAt, from, migrations, tables } = value
  const isWhole =
    [hexcairn, engine, madeAt, from].every((each) => typeof each === 'string') &&
    isTexts(migrations) &&
    Array.isArray(tables) &&
    tables.every((each) => typeof each?.name === 'string' && isTexts(each.columns) && Number.isInteger(each.rows))
  if (!isWhole) throw new BackupFault('The first line of the backup is damaged.')
  return value as Heading
}

export function parseLine(line: string, number: number): unknown {
  try {
    return JSON.parse(line) as unknown
  } catch {
    throw new BackupFault(`Line ${number} of the backup is damaged.`)
  }
}

export function isRow(value: unknown): value is Row {
  return Array.isArray(value) && value.every((each) => each === null || typeof each === 'string')
}

function isTexts(value: unknown): value is readonly string[] {
  return Array.isArray(value) && value.every((each) => typeof each === 'string')
}
