import type { Program, ReadOptions } from '../../assembler/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { imageSize, type Image } from '../../image/index.ts'
import {
  addressesOf,
  insertions,
  likelyReplacements,
  removals,
  replacements,
  swaps,
  editedImage,
  sourceEdits,
  type ByteEdit,
} from '../../edits/index.ts'
import { repairByByte, repairBySource, type Repair } from './repair.ts'

/** An edited image, and how to tell of it should it pass. */
export interface Candidate {
  readonly image: Image
  readonly repair: () => Repair
}

/**
 * Every edit worth trying, likely slips first: neighbours exchanged, a byte too many, a figure misread or one or two off;
 * then, for a program written in assembly, one instruction changed; any other value of a byte; a byte missing. Bytes that
 * are executed come before those that are not. The same image may come more than once.
 */
export function* candidates(program: Program, executed: readonly Addr[], options: ReadOptions): Generator<Candidate> {
  const { image } = program
  const isExecuted = new Set(executed)
  const places = [...executed, ...[...addressesOf(image)].filter((address) => !isExecuted.has(address))]
  const starts = program.listing.flatMap(({ kind, address }) =>
    kind === 'instruction' && address !== null ? [address] : [],
  )
  function* byBytes(edits: Iterable<ByteEdit>): Generator<Candidate> {
    for (const edit of edits) {
      const edited = editedImage(image, edit)
      if (edited !== null) yield { image: edited, repair: () => repairByByte(edit, image, edited, starts) }
    }
  }
  function* bySource(): Generator<Candidate> {
    for (const edit of sourceEdits(program, options)) {
      yield { image: edit.image, repair: () => repairBySource(edit, image) }
    }
  }
  const tried = new Set<number>()
  function* likely(): Generator<ByteEdit> {
    for (const edit of likelyReplacements(image, places)) {
      if (edit.kind === 'replace') tried.add(edit.at * 256 + edit.wouldBe)
      yield edit
    }
  }
  function* others(): Generator<ByteEdit> {
    for (const edit of replacements(image, places)) {
      if (edit.kind !== 'replace' || !tried.has(edit.at * 256 + edit.wouldBe)) yield edit
    }
  }
  yield* byBytes(swaps(image))
  yield* byBytes(removals(image))
  yield* byBytes(likely())
  if (program.format === 'assembly') yield* bySource()
  yield* byBytes(others())
  if (program.format !== 'assembly') yield* bySource()
  yield* byBytes(insertions(image))
}

/** About how many candidates there are: for showing how far a search has come. */
export function candidateCount(image: Image): number {
  const size = imageSize(image)
  return 2 * size + 255 * size + 255 * (size + 1) + 12 * size
}
