/** A column of a DataTable. */
export interface Column<Row> {
  readonly id: string
  readonly head: string
  /** What the cell says when no snippet draws it. */
  readonly text?: (row: Row) => string | number | null
  /** Figures stand at the end, in the mono face. */
  readonly isFigure?: boolean
  /** Never broken into lines: names in a dense table. */
  readonly isOneLine?: boolean
  /** Heads the row for a screen reader; one column a table. */
  readonly isRowHead?: boolean
  /** Given, the head becomes a button that sorts by it. */
  readonly sortBy?: (row: Row) => string | number
  /** CSS width: `8rem`, `40%`. */
  readonly width?: string
}

export interface Sorting {
  readonly column: string
  readonly isDescending: boolean
}

/** A sorted copy; rows that compare equal keep their order. */
export function sorted<Row>(rows: readonly Row[], columns: readonly Column<Row>[], by: Sorting | null): readonly Row[] {
  const key = by === null ? undefined : columns.find((column) => column.id === by.column)?.sortBy
  if (by === null || key === undefined) return rows
  const way = by.isDescending ? -1 : 1
  return [...rows].sort((a, b) => {
    const [x, y] = [key(a), key(b)]
    if (typeof x === 'string' && typeof y === 'string') return way * x.localeCompare(y, undefined, { numeric: true })
    return x < y ? -way : x > y ? way : 0
  })
}
