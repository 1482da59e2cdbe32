import { stringify } from 'csv-stringify/sync'
import type { Marks } from '../contract/index.ts'

/**
 * The marks table for a spreadsheet (RFC 4180: header, CRLF). Text that a spreadsheet would take for a formula gets an
 * apostrophe before it (OWASP, CSV injection).
 */
export function marksCsv(marks: Marks): string {
  const header = ['Student', 'User name', ...marks.exercises.map((exercise) => exercise.code), 'Mean']
  const rows = marks.rows.map((row) => [
    row.student.displayName,
    row.userName,
    ...row.scores.map((score) => score ?? ''),
    row.total,
  ])
  return stringify([header, ...rows], {
    record_delimiter: 'windows',
    escape_formulas: true,
    // A lone line feed or carriage return ends a row for many readers.
    quoted_match: /[\r\n]/,
  })
}
