import { byteDigits, wordDigits, type Problem } from '../image/index.ts'
import type { ListingLine, Program } from './program.ts'

const bytesPerRow = 4
const bytesWidth = bytesPerRow * 3 - 1

/**
 * A listing as text: address, bytes, T-states (`12/7`: condition holds / does not), line, source; `+` marks a line that a
 * macro or REPT put in. Problems stand below their line. Then the symbol table, by name.
 */
export function formatListing(program: Program): string {
  const rows = [header()]
  const waiting = [...program.problems]
  for (const line of program.listing) {
    rows.push(...lineRows(line))
    const isHere = (problem: Problem) => problem.at.line === line.line
    for (const problem of waiting.filter(isHere)) rows.push(problemRow(problem))
    if (waiting.some(isHere)) waiting.splice(0, waiting.length, ...waiting.filter((problem) => !isHere(problem)))
  }
  rows.push(...waiting.map(problemRow), ...symbolRows(program))
  return rows.map((row) => `${row.trimEnd()}\n`).join('')
}

function header(): string {
  return `Addr  ${'Bytes'.padEnd(bytesWidth)}  ${'T'.padStart(5)}  Line  Source`
}

function lineRows(line: ListingLine): string[] {
  const rows: string[] = []
  const mark = line.calledFrom === undefined ? ' ' : '+'
  for (let i = 0; i === 0 || i < line.bytes.length; i += bytesPerRow) {
    const address = line.address === null ? '    ' : wordDigits(line.address + i)
    const bytes = line.bytes
      .slice(i, i + bytesPerRow)
      .map(byteDigits)
      .join(' ')
    const place = `${address}  ${bytes.padEnd(bytesWidth)}`
    rows.push(
      i > 0 ? place : `${place}  ${tStates(line).padStart(5)}  ${String(line.line).padStart(4)}${mark} ${line.source}`,
    )
  }
  return rows
}

function tStates(line: ListingLine): string {
  if (line.tStates === null) return ''
  return line.tStatesNotTaken === null ? String(line.tStates) : `${line.tStates}/${line.tStatesNotTaken}`
}

function problemRow({ severity, at, message }: Problem): string {
  return `*** ${severity}, line ${at.line}, column ${at.column}: ${message}`
}

function symbolRows({ symbols }: Program): string[] {
  const names = Object.keys(symbols).sort((a, b) => (a.toUpperCase() < b.toUpperCase() ? -1 : 1))
  if (names.length === 0) return []
  const width = Math.max(...names.map((name) => name.length))
  return ['', 'Symbols', ...names.map((name) => `${name.padEnd(width)}  ${shownValue(symbols[name] ?? 0)}`)]
}

/** A 16-bit value in four digits; others in decimal, which is how they were meant. */
function shownValue(value: number): string {
  return value >= 0 && value <= 0xffff ? `${wordDigits(value)}h` : String(value)
}
