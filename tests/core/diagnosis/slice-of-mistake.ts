import { readProgram, type ListingLine, type Program } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { whyFailed, type CheckContext, type Why, type WhyNever } from '../../../core/diagnosis/index.ts'
import { readOptionsFor } from '../../../core/exercise/index.ts'
import { byteAt } from '../../../core/image/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { exerciseOf, mistakesOf, programOf, type Mistake } from '../exercise/tram-depot.ts'

export interface SlicedMistake {
  readonly folder: string
  readonly file: string
  /** `told`: the check looks at the program alone and names the place itself. */
  readonly outcome: 'in' | 'out' | 'told' | 'no line'
  readonly check: string
  /** The question whose answer has it, else the first one. */
  readonly question: string
  /** Parts of the slice, and the rank of the faulty instruction among them; its rank is null where it is not there. */
  readonly length: number
  readonly rank: number | null
  readonly why: Why | WhyNever | null
  /** In the answer to the first question already, not only to the second. */
  readonly isFirst?: boolean
}

/** Checks that look at the program alone. */
const kindsOfForm = ['size', 'program-bytes', 'required-instruction']

/** What the first two questions about the first check that a seeded mistake fails answer, and whether the fault is in it. */
export function sliceOfMistake(folder: string, mistake: Mistake): SlicedMistake {
  const exercise = exerciseOf(folder)
  const source = programOf(folder, mistake.file)
  const program = readProgram(source, readOptionsFor(exercise, benchEight))
  const report = grade(source, exercise, benchEight)
  const context: CheckContext = { exercise, profile: benchEight, program, seed: report.seed }
  const failed = report.checks.filter(({ id, outcome, decidedAt }) => {
    const isCounted = outcome !== 'skipped-by-gate' || mistake.fails.includes(id)
    return outcome !== 'passed' && isCounted && decidedAt !== null
  })
  const expected = failed.filter(({ id }) => mistake.fails.includes(id))
  const asked =
    expected.find(({ kind }) => !kindsOfForm.includes(kind)) ?? failed.find(({ kind }) => !kindsOfForm.includes(kind))
  const head = { folder, file: mistake.file, check: asked?.id ?? '', question: '' }
  if (mistake.faultyLine === undefined) return { ...head, outcome: 'no line', length: 0, rank: null, why: null }
  if (asked === undefined) return { ...head, outcome: 'told', length: 0, rank: null, why: null }
  const faulty = faultyAddresses(program, folder, mistake)
  const answers = [0, 1].flatMap((which) => whyFailed(asked, context, which) ?? [])
  const looked = answers.map(({ question, why }): SlicedMistake => {
    const parts = 'parts' in why ? why.parts : [why.turn?.setBy ?? null].filter((part) => part !== null)
    const rank = rankIn(why, faulty, mistake.causeId)
    const said = 'never' in question ? 'never' : question.target.kind
    return { ...head, question: said, outcome: rank === null ? 'out' : 'in', length: parts.length, rank, why }
  })
  const [first] = looked
  if (first === undefined) return { ...head, outcome: 'out', length: 0, rank: null, why: null, isFirst: false }
  const hit = looked.find(({ outcome }) => outcome === 'in')
  return { ...(hit ?? first), isFirst: hit === first }
}

/** The rank of the faulty instruction; null where it has no part. */
function rankIn(why: Why | WhyNever, faulty: ReadonlySet<number>, causeId: string): number | null {
  if (!('parts' in why)) {
    const { turn } = why
    return turn !== null && (faulty.has(turn.pc) || faulty.has(turn.setBy?.pc ?? -1)) ? 1 : null
  }
  const ranks = why.parts.filter(({ pc }) => faulty.has(pc)).map(({ rank }) => rank)
  if (ranks.length > 0) return Math.min(...ranks)
  // What should have been set and was not shows as a value that stood there at the start.
  const isGiven = causeId === 'not-initialised' && why.sources.some(({ kind }) => kind === 'given')
  const isData = why.sources.some(({ what }) => {
    const address = /^\(([0-9A-F]+)h\)$/.exec(what)?.[1]
    return address !== undefined && faulty.has(Number.parseInt(address, 16))
  })
  return isGiven || isData ? why.parts.length : null
}

/** Causes that are an instruction left out: either of its neighbours shows the place. */
const isMissing = (causeId: string): boolean =>
  [
    'result-not-stored',
    'ei-missing',
    'count-zero',
    'held-key-counted',
    'carry-lost',
    'decimal-adjust-missing',
  ].includes(causeId)

/** Addresses of the faulty line; of a hex dump, whose line is the whole program, the instructions that are not the model's. */
function faultyAddresses(
  program: Program,
  folder: string,
  { file, faultyLine, causeId }: Mistake,
): ReadonlySet<number> {
  const bytesOf = (lines: readonly ListingLine[]): ReadonlySet<number> =>
    new Set(lines.flatMap(({ address, bytes }) => (address === null ? [] : bytes.map((_, i) => address + i))))
  if (!file.endsWith('.hex')) {
    const lines = program.listing.filter(({ address, bytes }) => address !== null && bytes.length > 0)
    const at = lines.findIndex(({ line }) => line === faultyLine)
    return bytesOf(lines.filter(({ line }, i) => line === faultyLine || (isMissing(causeId) && i === at - 1)))
  }
  const model = readProgram(programOf(folder, 'model.hex'), readOptionsFor(exerciseOf(folder), benchEight))
  const end = Math.max(...program.image.segments.map(({ start, bytes }) => start + bytes.length))
  const isOther = (address: number): boolean => byteAt(program.image, address) !== byteAt(model.image, address)
  const lines = program.listing.filter(({ address, bytes }) =>
    bytes.some((_, i) => address !== null && isOther(address + i)),
  )
  // A byte missing at the end: the last instruction before the place.
  return bytesOf(
    lines.length > 0
      ? lines
      : program.listing.filter(({ address, bytes }) => address !== null && address + bytes.length === end),
  )
}

export function allMistakes(folders: readonly string[]): readonly { folder: string; mistake: Mistake }[] {
  return folders.flatMap((folder) => mistakesOf(folder).map((mistake) => ({ folder, mistake })))
}
