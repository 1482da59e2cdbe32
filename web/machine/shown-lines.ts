import { commentOf, type ListingLine } from '../../core/assembler/index.ts'
import { byteDigits } from '../../core/image/index.ts'
import type { Addr, Byte } from '../../core/cpu/index.ts'

/** One line of code where no source stands: the firmware, or a place the program should never have come to. */
export interface CodeLine {
  readonly address: Addr
  readonly bytes: readonly Byte[]
  readonly text: string
  readonly tStates: number | null
  readonly tStatesNotTaken: number | null
  readonly label: string | null
}

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

/** Code and comment of a source line, parted before the blanks that stand in front of the semicolon. */
export function splitComment(source: string): { readonly code: string; readonly comment: string } {
  const words = commentOf(source)
  if (words === null) return { code: source.trimEnd(), comment: '' }
  const code = source.slice(0, source.lastIndexOf(words)).replace(/[;\s]+$/, '')
  return { code, comment: source.slice(code.length).trimEnd() }
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
    tStates: shownTStates(line.tStates, line.tStatesNotTaken),
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

/** More bytes than an instruction has are data; what does not fit is counted. */
function shownBytes(bytes: readonly number[]): string {
  const shown = bytes.slice(0, 4).map(byteDigits).join(' ')
  return bytes.length > 4 ? `${shown} +${bytes.length - 4}` : shown
}

function shownTStates(taken: number | null, notTaken: number | null): string {
  if (taken === null) return ''
  return notTaken === null || notTaken === taken ? String(taken) : `${taken}/${notTaken}`
}
