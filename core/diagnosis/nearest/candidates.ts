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
  likelyEdits,
  type ByteEdit,
} from '../../edits/index.ts'
import { repairByByte, repairBySource, type Repair } from './repair.ts'

/** An edited image, and how to tell of it should it pass. */
export interface Candidate {
  readonly image: Image
  readonly repair: () => Repair
}

/** How much of a text's edits comes before what changes its data: to the tier that leaves instructions out. */
const likelyTiers = 3

/**
 * Every edit worth trying, likely slips first. Of a program written in assembly: instructions changed, left out and put in,
 * those that only seldom are the slip behind the bytes of its data. Of bytes: neighbours exchanged, a byte too many, a
 * figure misread or one or two off, any other value, a byte missing; then instructions. Bytes that are executed come
 * before those that are not. `answer` is asked for what the program lacks. No image comes twice.
 */
export function* candidates(
  program: Program,
  executed: readonly Addr[],
  options: ReadOptions,
  answer: Program | null,
): Generator<Candidate> {
  const seen = new Set([keyOf(program.image)])
  for (const candidate of all(program, executed, options, answer)) {
    const key = keyOf(candidate.image)
    if (seen.has(key)) continue
    seen.add(key)
    yield candidate
  }
}

function keyOf({ segments }: Image): string {
  return segments.map(({ start, bytes }) => `${start}:${String.fromCharCode(...bytes)}`).join()
}

function* all(
  program: Program,
  executed: readonly Addr[],
  options: ReadOptions,
  answer: Program | null,
): Generator<Candidate> {
  const { image } = program
  const isText = program.format === 'assembly'
  const starts = program.listing.flatMap(({ kind, address }) =>
    kind === 'instruction' && address !== null ? [address] : [],
  )
  function* byBytes(edits: Iterable<ByteEdit>): Generator<Candidate> {
    for (const edit of edits) {
      const edited = editedImage(image, edit)
      if (edited !== null) yield { image: edited, repair: () => repairByByte(edit, image, edited, starts) }
    }
  }
  const bySource = likelyEdits(program, options, answer)
  let next = bySource.next()
  function* toTier(most: number): Generator<Candidate> {
    for (; next.done !== true && next.value.tier <= most; next = bySource.next()) {
      const edit = next.value
      yield { image: edit.image, repair: () => repairBySource(edit, image) }
    }
  }
  if (isText) {
    const data = new Set(dataOf(program))
    yield* toTier(1)
    yield* byBytes(likelyReplacements(image, data))
    yield* toTier(likelyTiers)
    yield* byBytes(replacements(image, data))
    yield* toTier(Infinity)
    return
  }
  const isExecuted = new Set(executed)
  const places = [...executed, ...[...addressesOf(image)].filter((address) => !isExecuted.has(address))]
  yield* byBytes(swaps(image))
  yield* byBytes(removals(image))
  yield* byBytes(likelyReplacements(image, places))
  yield* byBytes(replacements(image, places))
  yield* byBytes(insertions(image))
  yield* toTier(Infinity)
}

/** Addresses of a text's data. */
function dataOf({ listing }: Program): readonly Addr[] {
  return listing.flatMap(({ kind, address, bytes }) =>
    kind === 'data' && address !== null ? bytes.map((_, i) => address + i) : [],
  )
}

/** About how many candidates there are: for showing how far a search has come. */
export function candidateCount(image: Image): number {
  const size = imageSize(image)
  return 2 * size + 255 * size + 255 * (size + 1) + 12 * size
}
