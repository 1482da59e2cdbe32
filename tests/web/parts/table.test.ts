import { describe, expect, test } from 'vitest'
import { sorted, type Column } from '../../../web/parts/table.ts'

type Row = { id: string; score: number }
const rows: readonly Row[] = [
  { id: 'A10', score: 3 },
  { id: 'A2', score: 1 },
  { id: 'B1', score: 3 },
]
const columns: readonly Column<Row>[] = [
  { id: 'id', head: 'Exercise', sortBy: (row) => row.id },
  { id: 'score', head: 'Score', sortBy: (row) => row.score },
  { id: 'plain', head: 'Plain' },
]
const ids = (column: string, isDescending = false) =>
  sorted(rows, columns, { column, isDescending }).map((row) => row.id)

describe('sorting a table', () => {
  test('reads figures inside words as numbers', () => expect(ids('id')).toEqual(['A2', 'A10', 'B1']))
  test('keeps the order of equal rows, both ways', () => {
    expect(ids('score')).toEqual(['A2', 'A10', 'B1'])
    expect(ids('score', true)).toEqual(['A10', 'B1', 'A2'])
  })
  test('leaves the rows alone by a column that cannot be sorted', () =>
    expect(ids('plain')).toEqual(['A10', 'A2', 'B1']))
  test('does not touch the rows given', () => {
    ids('score')
    expect(rows[0]?.id).toBe('A10')
  })
})
