import { readProgram, type Program } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { whyFailed, type CheckContext, type Why, type WhyNever } from '../../../core/diagnosis/index.ts'
import { readOptionsFor, runRequestFor } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import type { Recording, RunRequest } from '../../../core/run/index.ts'
import { exerciseOf, mistakesOf, programOf, type Mistake } from '../exercise/tram-depot.ts'
import { faultyPlace, rankOfPlace, type FaultyPlace } from './faulty-instruction.ts'

export interface SlicedMistake {
  readonly folder: string
  readonly file: string
  /** By the first question alone. `told`: the check looks at the program alone and names the place itself. */
  readonly outcome: 'in' | 'out' | 'told' | 'no line'
  readonly check: string
  /** What the first question is about. */
  readonly question: string
  readonly place: FaultyPlace['kind'] | ''
  /** Parts of the slice, and the rank of the faulty instruction among them; its rank is null where it is not there. */
  readonly length: number
  readonly rank: number | null
  /** Instructions in the slice as a share of those that were executed, firmware left out. */
  readonly share: number
  readonly why: Why | WhyNever | null
  /** Not the answer to the first question but that to the second has it. */
  readonly isInSecond: boolean
  /** The very line that is written down beside the seed is told, a neighbour of it or a source is not enough. */
  readonly isLineTold: boolean
}

/** Checks that look at the program alone. */
const kindsOfForm = ['size', 'program-bytes', 'required-instruction']

/** What the questions about the first check that a seeded mistake fails answer, and whether the fault is in it. */
export function sliceOfMistake(folder: string, mistake: Mistake): SlicedMistake {
  const exercise = exerciseOf(folder)
  const source = programOf(folder, mistake.file)
  const program = readProgram(source, readOptionsFor(exercise, benchEight))
  const report = grade(source, exercise, benchEight)
  const context: CheckContext = { exercise, profile: benchEight, program, seed: report.seed }
  const failed = report.checks.filter(
    ({ outcome, decidedAt }) => outcome !== 'passed' && outcome !== 'skipped-by-gate' && decidedAt !== null,
  )
  const expected = failed.filter(({ id }) => mistake.fails.includes(id))
  const asked =
    expected.find(({ kind }) => !kindsOfForm.includes(kind)) ?? failed.find(({ kind }) => !kindsOfForm.includes(kind))
  const place = faultyPlace(program, folder, mistake)
  const head = { folder, file: mistake.file, check: asked?.id ?? '', question: '', place: place?.kind ?? ('' as const) }
  const nothing = { ...head, length: 0, rank: null, share: 0, why: null, isInSecond: false, isLineTold: false }
  if (place === null) return { ...nothing, outcome: 'no line' }
  if (asked === undefined) return { ...nothing, outcome: 'told' }
  const first = whyFailed(asked, context)
  if (first === null) return { ...nothing, outcome: 'out' }
  const { question, why, recording } = first
  const requestOf = (answer: Program): RunRequest =>
    runRequestFor(exercise, benchEight, answer, question.caseId, report.seed)
  const rank = rankOfPlace(why, place, requestOf)
  const second = rank === null ? whyFailed(asked, context, 1) : null
  const told = 'parts' in why ? why.parts.map(({ pc }) => pc) : [why.turn?.pc, why.turn?.setBy?.pc]
  const addresses = new Set(told.filter((pc) => pc !== undefined))
  const executed = executedIn(program, recording, 'never' in question ? recording.result.steps : question.step)
  return {
    ...head,
    outcome: rank === null ? 'out' : 'in',
    question: 'never' in question ? 'never' : question.target.kind,
    length: addresses.size,
    rank,
    share: addresses.size / Math.max(1, executed),
    why,
    isLineTold: told.some((pc) => pc !== undefined && place.line.has(pc)),
    isInSecond: second !== null && rankOfPlace(second.why, place, requestOf) !== null,
  }
}

/** How many instructions of the program were executed before a step, firmware left out. */
function executedIn({ listing }: Program, recording: Recording, end: number): number {
  const seen = new Uint8Array(0x10000)
  recording.walk(0, end, (_step, _t, pc) => {
    seen[pc] = 1
  })
  return listing.filter(({ address, bytes }) => address !== null && bytes.length > 0 && seen[address] === 1).length
}

export function allMistakes(folders: readonly string[]): readonly { folder: string; mistake: Mistake }[] {
  return folders.flatMap((folder) => mistakesOf(folder).map((mistake) => ({ folder, mistake })))
}
