import type { Addr } from '../cpu/index.ts'
import { lexLine } from './lexer.ts'
import type { Program } from './program.ts'

/** A student's own words for a program, as the disassembler takes them. */
export interface ListingNotes {
  readonly labels: Readonly<Record<string, Addr>>
  readonly comments: ReadonlyMap<Addr, string>
}

/** The labels and comments of a program that was written in assembly; none for the other forms. */
export function listingNotes({ listing, format }: Program): ListingNotes {
  const labels: [string, Addr][] = []
  const comments = new Map<Addr, string>()
  if (format !== 'assembly') return { labels: {}, comments }
  for (const { address, label, bytes, source } of listing) {
    if (address === null) continue
    if (label !== null) labels.push([label, address])
    const comment = bytes.length > 0 ? commentOf(source) : null
    if (comment !== null) comments.set(address, comment)
  }
  return { labels: Object.fromEntries(labels), comments }
}

/** What stands behind the `;` of a line, or null. */
export function commentOf(source: string): string | null {
  const { tokens } = lexLine(source, 1)
  const last = tokens.at(-1)
  const from = last === undefined ? 0 : last.column - 1 + last.length
  const at = source.indexOf(';', from)
  const comment = at < 0 ? '' : source.slice(at).replace(/^[;\s]+/, '')
  return comment.trim() === '' ? null : comment.trim()
}
