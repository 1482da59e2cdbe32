import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { whyCheck, whyFailed, type CheckContext, type Why, type WhyNever } from '../../../core/diagnosis/index.ts'
import { readOptionsFor } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { exerciseOf, mistakesOf, programOf, type Mistake } from '../exercise/tram-depot.ts'

export interface SlicedMistake {
  readonly folder: string
  readonly file: string
  /** `told`: the check looks at the program alone and names the place itself. */
  readonly outcome: 'in' | 'out' | 'told' | 'no line'
  readonly check: string
  readonly question: string
  /** Parts of the slice, and the rank of the faulty instruction among them; its rank is null where it is not there. */
  readonly length: number
  readonly rank: number | null
  readonly why: Why | WhyNever | null
}

/** Checks that look at the program alone. */
const kindsOfForm = ['size', 'program-bytes']

/** What the first question about the first check that a seeded mistake fails answers, and whether the fault is in it. */
export function sliceOfMistake(folder: string, mistake: Mistake): SlicedMistake {
  const exercise = exerciseOf(folder)
  const source = programOf(folder, mistake.file)
  const program = readProgram(source, readOptionsFor(exercise, benchEight))
  const report = grade(source, exercise, benchEight)
  const context: CheckContext = { exercise, profile: benchEight, program, seed: report.seed }
  const failed = report.checks.filter(({ outcome, decidedAt }) => outcome !== 'passed' && decidedAt !== null)
  const expected = failed.filter(({ id }) => mistake.fails.includes(id))
  const asked =
    expected.find(({ kind }) => !kindsOfForm.includes(kind)) ?? failed.find(({ kind }) => !kindsOfForm.includes(kind))
  const head = { folder, file: mistake.file, check: asked?.id ?? '', question: '' }
  if (mistake.faultyLine === undefined) return { ...head, outcome: 'no line', length: 0, rank: null, why: null }
  if (asked === undefined) return { ...head, outcome: 'told', length: 0, rank: null, why: null }
  const answer = whyFailed(asked, context)
  const line = program.listing.find((each) => each.line === mistake.faultyLine && each.address !== null)
  const from = line?.address ?? 0
  const to = from + (line?.bytes.length ?? 0)
  if (answer === null) return { ...head, outcome: 'out', length: 0, rank: null, why: null }
  const { question, why } = answer
  const parts = 'parts' in why ? why.parts : [why.turn?.setBy ?? null].filter((part) => part !== null)
  const hit = parts.filter(({ pc }) => pc >= from && pc < to).map(({ rank }) => rank)
  const isTurn = 'turn' in why && why.turn !== null && why.turn.pc >= from && why.turn.pc < to
  const sources = 'sources' in why ? why.sources : []
  const isSource = sources.some(({ what }) => {
    const address = /^\(([0-9A-F]+)h\)$/.exec(what)?.[1]
    return address !== undefined && Number.parseInt(address, 16) >= from && Number.parseInt(address, 16) < to
  })
  const rank = hit.length > 0 ? Math.min(...hit) : isTurn ? 1 : isSource ? parts.length : null
  const said = 'never' in question ? 'never' : `${question.target.kind}`
  return { ...head, question: said, outcome: rank === null ? 'out' : 'in', length: parts.length, rank, why }
}

export function allMistakes(folders: readonly string[]): readonly { folder: string; mistake: Mistake }[] {
  return folders.flatMap((folder) => mistakesOf(folder).map((mistake) => ({ folder, mistake })))
}

/** Every question about a failing check. */
export { whyCheck }
