import type { Program, ReadOptions } from '../assembler/index.ts'
import type { Addr } from '../cpu/index.ts'
import { imageSize, type Image } from '../image/index.ts'
import { addressesOf, insertions, likelyReplacements, removals, replacements, swaps } from './byte-edits.ts'
import { editedImage, type ByteEdit } from './edit.ts'
import { likelyEdits, type LikelyEdit } from './likely-edits.ts'

/** An edited program and the edit that made it, one of the two. */
export interface Candidate {
  readonly image: Image
  readonly byte: ByteEdit | null
  readonly source: LikelyEdit | null
  /** Address of the instruction that is edited, or that one is put in before; null where a byte is that is not executed, and may be data. */
  readonly instruction: Addr | null
}

/** Values of each byte that are likelier than any edit of an instruction, and than most. */
const likeliestBytes = 4
const likelyBytesFirst = 12
/** So many bytes put in come before edits of instructions: those of a short program. */
const mostInsertions = 1_000

/**
 * Every edit worth trying, likely slips first. Of a program written in assembly: instructions changed, left out and put in,
 * those that only seldom are the slip behind the bytes of its data. Of bytes: neighbours exchanged, a byte too many, a
 * figure misread or one or two off, in short ones a byte missing, then the likelier edits of instructions, any other value, a byte missing, all else.
 * `executed` bytes come before those that are not. `answer` is asked for what the program lacks. No image comes twice.
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
  const isExecuted = new Set(executed)
  function* byBytes(edits: Iterable<ByteEdit>): Generator<Candidate> {
    for (const byte of edits) {
      const edited = editedImage(image, byte)
      const instruction = isExecuted.has(byte.at) ? byte.at : null
      if (edited !== null) yield { image: edited, byte, source: null, instruction }
    }
  }
  const bySource = likelyEdits(program, options, answer)
  let next = bySource.next()
  function* toTier(most: number): Generator<Candidate> {
    for (; next.done !== true && next.value.tier <= most; next = bySource.next()) {
      const source = next.value
      yield { image: source.image, byte: null, source, instruction: source.at }
    }
  }
  if (program.format === 'assembly') {
    const data = new Set(dataOf(program))
    yield* toTier(1)
    yield* byBytes(likelyReplacements(image, data))
    yield* toTier(3)
    yield* byBytes(replacements(image, data))
    yield* toTier(Infinity)
    return
  }
  const places = [...executed, ...[...addressesOf(image)].filter((address) => !isExecuted.has(address))]
  yield* byBytes(swaps(image))
  yield* byBytes(removals(image))
  yield* byBytes(likelyReplacements(image, places, likeliestBytes))
  // A byte that is missing is most often one that the program has elsewhere, or the answer.
  const values = valuesOf(image, answer?.image ?? image)
  if (values.size * imageSize(image) <= mostInsertions) yield* byBytes(insertions(image, values))
  yield* toTier(2)
  yield* byBytes(likelyReplacements(image, places, likelyBytesFirst))
  yield* toTier(3)
  yield* byBytes(likelyReplacements(image, places))
  yield* byBytes(replacements(image, places))
  yield* byBytes(insertions(image))
  yield* toTier(Infinity)
}

function valuesOf(...images: readonly Image[]): ReadonlySet<number> {
  return new Set(images.flatMap(({ segments }) => segments.flatMap(({ bytes }) => [...bytes])))
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
