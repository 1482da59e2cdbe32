import { readProgram, type ListingLine, type Program } from '../../../core/assembler/index.ts'
import { benchEight, eventCode } from '../../../core/board/index.ts'
import type { Addr } from '../../../core/cpu/index.ts'
import type { Why, WhyNever } from '../../../core/diagnosis/index.ts'
import { readOptionsFor } from '../../../core/exercise/index.ts'
import { byteAt } from '../../../core/image/index.ts'
import { run, type RunRequest } from '../../../core/run/index.ts'
import { exerciseOf, filesOf, programOf, type Mistake } from '../exercise/tram-depot.ts'

/**
 * Where a seeded mistake is: what an explanation has to name.
 *
 * `written`: an instruction, or a byte of data, that stands in the program and is wrong or too much. The explanation has
 * it when a part of it stands there, or when data of that line is among its sources. Of a mistake that takes several
 * lines it must be the one that is written down beside the seed.
 *
 * `left-out`: instructions of the answer that are not there, with nothing in their place. What never stood anywhere can be
 * no part. So the explanation has to name the place, that is the instruction before which it belongs or the one after
 * which, and no other; or it has to name what it should have set, as standing there from the start.
 *
 * Which of the two it is, is found by holding the mistake against the nearest answer, line by line, and not by its cause.
 * See docs/decisions/010-the-faulty-instruction-in-a-slice.md.
 */
export interface FaultyPlace {
  readonly kind: 'written' | 'left-out'
  /** The line that is written down beside the seed, whatever the kind. */
  readonly line: ReadonlySet<Addr>
  readonly addresses: ReadonlySet<Addr>
  /** Instructions of the answer that were left out. */
  readonly leftOut: { readonly answer: Program; readonly addresses: ReadonlySet<Addr> } | null
}

/** Null where the mistake has no line written down. */
export function faultyPlace(program: Program, folder: string, { file, faultyLine }: Mistake): FaultyPlace | null {
  if (faultyLine === undefined) return null
  if (file.endsWith('.hex')) {
    const addresses = otherBytes(program, folder)
    return { kind: 'written', line: addresses, addresses, leftOut: null }
  }
  const lines = linesOf(program)
  const named = lines.filter(({ line }) => line === faultyLine)
  const { answer, gaps, extra } = nearestAnswer(lines, folder)
  const near = gaps.filter(({ around }) => around.some(({ line }) => line === faultyLine))
  // A line that the answer has too is not wrong: what is missing elsewhere is.
  const isInAnswer = !extra.some(({ line }) => line === faultyLine)
  const own = near.length > 0 || !isInAnswer ? near : gaps
  if (own.length === 0)
    return { kind: 'written', line: addressesOf(named), addresses: addressesOf(named), leftOut: null }
  return {
    kind: 'left-out',
    line: addressesOf(named),
    addresses: addressesOf([...named, ...own.flatMap(({ around }) => around)]),
    leftOut: { answer, addresses: addressesOf(own.flatMap(({ missing }) => missing)) },
  }
}

/**
 * How telling the explanation holds the place: 1 is its most telling part, a source comes behind all parts. Null where it
 * does not have it. `requestOf` is the run that is explained, with an answer in the place of the mistake.
 */
export function rankOfPlace(
  why: Why | WhyNever,
  place: FaultyPlace,
  requestOf: (answer: Program) => RunRequest,
): number | null {
  const { addresses, leftOut } = place
  if (!('parts' in why)) {
    const told = [why.turn?.pc, why.turn?.setBy?.pc]
    return told.some((pc) => pc !== undefined && addresses.has(pc)) ? 1 : null
  }
  const ranks = why.parts.filter(({ pc }) => addresses.has(pc)).map(({ rank }) => rank)
  if (ranks.length > 0) return Math.min(...ranks)
  const given = why.sources.flatMap(({ kind, what }) => {
    const digits = /^\(([0-9A-F]+)h\)$/.exec(what)?.[1]
    return kind === 'given' && digits !== undefined ? [Number.parseInt(digits, 16)] : []
  })
  const isData = given.some((address) => addresses.has(address))
  const isNotSet = !isData && leftOut !== null && given.length > 0 && wouldSet(leftOut, requestOf, given)
  return isData || isNotSet ? why.parts.length + 1 : null
}

/** Whether the instructions left out write to one of those bytes when the answer runs. */
function wouldSet(
  { answer, addresses }: NonNullable<FaultyPlace['leftOut']>,
  requestOf: (answer: Program) => RunRequest,
  bytes: readonly Addr[],
): boolean {
  const { events } = run({ ...requestOf(answer), isWatchingWrites: true })
  for (let i = 0; i < events.length; i++) {
    const isLeftOut = events.codeAt(i) === eventCode.memoryWrite && addresses.has(events.pcAt(i))
    if (isLeftOut && bytes.includes(events.whereAt(i))) return true
  }
  return false
}

/** A line that puts something into memory. */
interface Line {
  readonly line: number
  readonly address: Addr
  readonly bytes: readonly number[]
  /** Without its comment, its label and superfluous blanks. */
  readonly text: string
}

function linesOf({ listing }: Program): readonly Line[] {
  return listing.flatMap((each) =>
    each.address === null || each.bytes.length === 0 ? [] : [{ ...each, address: each.address, text: plainText(each) }],
  )
}

function plainText({ source }: ListingLine): string {
  return source
    .replace(/;.*/, '')
    .replace(/^\s*[A-Z_][A-Z0-9_]*:/i, '')
    .trim()
    .replace(/\s+/g, ' ')
}

function addressesOf(lines: readonly Line[]): ReadonlySet<Addr> {
  return new Set(lines.flatMap(({ address, bytes }) => bytes.map((_, i) => address + i)))
}

/** A place where lines of the answer are missing and none stand instead. */
interface Gap {
  /** The line after which and the one before which they belong. */
  readonly around: readonly Line[]
  readonly missing: readonly Line[]
}

interface Compared {
  readonly answer: Program
  readonly gaps: readonly Gap[]
  /** Lines that the answer does not have. */
  readonly extra: readonly Line[]
  /** In how many lines they differ. */
  readonly distance: number
}

/** The program as compared with that of the answers which differs from it in the fewest lines. */
function nearestAnswer(lines: readonly Line[], folder: string): Compared {
  const answers = Object.keys(filesOf(folder)).filter((file) => /^(model|other)\b.*\.asm$/.test(file))
  const compared = answers.map((file) => compare(lines, read(folder, file)))
  const [nearest] = compared.toSorted((a, b) => a.distance - b.distance)
  if (nearest === undefined) throw new Error(`${folder} has no answer as text`)
  return nearest
}

/** Line by line, by the longest run of lines that both have in the same order. */
function compare(own: readonly Line[], answer: Program): Compared {
  const other = linesOf(answer)
  const width = other.length + 1
  const common = new Int32Array((own.length + 1) * width)
  const commonAt = (i: number, k: number): number => common[i * width + k] ?? 0
  const isSame = (i: number, k: number): boolean => own[i] !== undefined && own[i]?.text === other[k]?.text
  for (let i = own.length - 1; i >= 0; i--) {
    for (let k = other.length - 1; k >= 0; k--) {
      common[i * width + k] = isSame(i, k)
        ? commonAt(i + 1, k + 1) + 1
        : Math.max(commonAt(i + 1, k), commonAt(i, k + 1))
    }
  }
  const gaps: Gap[] = []
  const extra: Line[] = []
  let [i, k] = [0, 0]
  while (i < own.length || k < other.length) {
    const [first, missing] = [i, k]
    while ((i < own.length || k < other.length) && !isSame(i, k)) {
      if (i < own.length && (k >= other.length || commonAt(i + 1, k) >= commonAt(i, k + 1))) i += 1
      else k += 1
    }
    extra.push(...own.slice(first, i))
    if (i === first && k > missing) {
      const around = [own[i - 1], own[i]].filter((line) => line !== undefined)
      gaps.push({ around, missing: other.slice(missing, k) })
    }
    i += 1
    k += 1
  }
  return { answer, gaps, extra, distance: own.length + other.length - 2 * commonAt(0, 0) }
}

/** Of a hex dump, whose line is the whole program: the instructions that are not the model's; the last, if that has more. */
function otherBytes(program: Program, folder: string): ReadonlySet<Addr> {
  const model = read(folder, 'model.hex')
  const end = Math.max(...program.image.segments.map(({ start, bytes }) => start + bytes.length))
  const lines = linesOf(program)
  const isOther = (address: Addr): boolean => byteAt(program.image, address) !== byteAt(model.image, address)
  const other = lines.filter(({ address, bytes }) => bytes.some((_, i) => isOther(address + i)))
  return addressesOf(other.length > 0 ? other : lines.filter(({ address, bytes }) => address + bytes.length === end))
}

function read(folder: string, file: string): Program {
  return readProgram(programOf(folder, file), readOptionsFor(exerciseOf(folder), benchEight))
}
