import type { ListingLine } from '../../../core/assembler/index.ts'
import { byteDigits } from '../../../core/image/index.ts'
import type { CodeLine, Moment } from './moment.ts'

/** A line of code as the page shows it. */
export interface ShownLine {
  readonly key: string
  /** Number of the line in the text as handed in; null for firmware. */
  readonly line: number | null
  readonly address: number | null
  readonly bytes: string
  /** `7`, `13/8`, empty where the line is no instruction. */
  readonly tStates: string
  readonly label: string | null
  readonly code: string
  readonly comment: string
  readonly kind: ListingLine['kind']
}

/** Code and comment of a source line; a semicolon within quotes begins no comment. */
export function splitComment(source: string): { readonly code: string; readonly comment: string } {
  let quote = ''
  for (let i = 0; i < source.length; i += 1) {
    const sign = source[i] ?? ''
    if (quote !== '') {
      if (sign === quote) quote = ''
    } else if (sign === ';') return { code: source.slice(0, i).trimEnd(), comment: source.slice(i) }
    // AF' has a quote that opens nothing.
    else if (sign === '"' || (sign === "'" && !/af$/i.test(source.slice(0, i)))) quote = sign
  }
  return { code: source.trimEnd(), comment: '' }
}

export function shownListing(listing: readonly ListingLine[]): readonly ShownLine[] {
  return listing.map((line, i) => ({
    key: `${line.line}-${i}`,
    line: line.line,
    address: line.address,
    bytes: shownBytes(line.bytes),
    tStates: shownTStates(line.tStates, line.tStatesNotTaken),
    label: line.label,
    ...splitComment(line.source),
    kind: line.kind,
  }))
}

export function shownCode(lines: readonly CodeLine[]): readonly ShownLine[] {
  return lines.map((line) => ({
    key: `code-${line.address}`,
    line: null,
    address: line.address,
    bytes: shownBytes(line.bytes),
    tStates: '',
    label: line.label,
    code: line.text,
    comment: '',
    kind: 'instruction',
  }))
}

/** Index of the line that holds the instruction at `address`; −1 where the listing has none. */
export function lineAt(lines: readonly ShownLine[], address: number): number {
  return lines.findIndex((line) => line.kind === 'instruction' && line.address === address)
}

/** The line of the program from which the code at the cursor was called, read from the stack; −1 where there is none. */
export function callingLine(lines: readonly ShownLine[], moment: Moment): number {
  for (const word of moment.stack) {
    if (word.note === null) continue
    for (const length of [3, 1]) {
      const found = lineAt(lines, (word.value - length) & 0xffff)
      if (found >= 0) return found
    }
  }
  return -1
}

/** More bytes than an instruction has are data; what does not fit is counted. */
function shownBytes(bytes: readonly number[]): string {
  const shown = bytes.slice(0, 4).map(byteDigits).join(' ')
  return bytes.length > 4 ? `${shown} +${bytes.length - 4}` : shown
}

function shownTStates(taken: number | null, notTaken: number | null): string {
  if (taken === null) return ''
  return notTaken === null || notTaken === taken ? String(taken) : `${taken}/${notTaken}`
}
