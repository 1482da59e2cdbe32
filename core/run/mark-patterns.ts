import { readOnlyStretches } from '../board/index.ts'
import type { BoardProfile } from '../board/index.ts'
import { attribute } from '../cpu/index.ts'

/** Attributes of all bytes of a board, worked out once for each profile: many runs are shorter than 65,536 steps of a loop. */
export interface MarkPatterns {
  /** What is no RAM is read-only and watched. */
  readonly plain: Uint8Array
  /** The same, and execution stops everywhere but in ROM. */
  readonly closed: Uint8Array
  /** The same, and every write is watched. */
  readonly closedAndWatched: Uint8Array
}

const known = new WeakMap<BoardProfile, MarkPatterns>()

export function markPatterns(profile: BoardProfile): MarkPatterns {
  const before = known.get(profile)
  if (before !== undefined) return before
  const plain = new Uint8Array(0x10000)
  for (const { from, to } of readOnlyStretches(profile))
    plain.fill(attribute.readOnly | attribute.watchWrite, from, to + 1)
  const closed = plain.map((bits) => bits | attribute.stopAt)
  for (const { kind, from, to } of profile.memory) if (kind === 'rom') closed.set(plain.subarray(from, to + 1), from)
  const closedAndWatched = closed.map((bits) => bits | attribute.watchWrite)
  const patterns = { plain, closed, closedAndWatched }
  known.set(profile, patterns)
  return patterns
}
