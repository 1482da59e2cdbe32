import type { Addr } from '../cpu/index.ts'
import { lexLine } from './lexer.ts'
import type { Program } from './program.ts'
import { parseStatement } from './statement.ts'

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
    // A macro's own names with a dot mean nothing outside of it.
    if (label !== null && !label.startsWith('.')) labels.push([label, address])
    const { comment } = bytes.length > 0 ? sourceParts(source) : { comment: null }
    if (comment !== null) comments.set(address, comment)
  }
  return { labels: Object.fromEntries(labels), comments }
}

/** A source line in three: each null where the line has none. */
export interface SourceParts {
  readonly label: string | null
  /** Instruction or directive with its operands, as written. */
  readonly body: string | null
  /** What stands behind the `;`. */
  readonly comment: string | null
}

/** Cuts a source line into its parts, in the writer's own spelling. Names of macros are taken for operations. */
export function sourceParts(source: string): SourceParts {
  const { tokens } = lexLine(source, 1)
  const { label, operation } = parseStatement(tokens, () => false)
  const last = tokens.at(-1)
  const end = last === undefined ? 0 : last.column - 1 + last.length
  const mark = source.indexOf(';', end)
  const comment =
    mark < 0
      ? ''
      : source
          .slice(mark)
          .replace(/^[;\s]+/, '')
          .trimEnd()
  return {
    label: label?.text ?? null,
    body: operation === null ? null : source.slice(operation.column - 1, end).replace(/\s+/g, ' '),
    comment: comment === '' ? null : comment,
  }
}

/** What stands behind the `;` of a source line, or null. */
export function commentOf(source: string): string | null {
  return sourceParts(source).comment
}
