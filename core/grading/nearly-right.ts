import type { Program, ReadOptions } from '../assembler/index.ts'
import { withinWork, type BoardProfile } from '../board/index.ts'
import type { TState } from '../cpu/index.ts'
import {
  addressesOf,
  editedImage,
  isOneSlipFrom,
  likelyEdits,
  likelyReplacements,
  removals,
  swaps,
  type ByteEdit,
} from '../edits/index.ts'
import { modelProgram, modelRun, readOptionsFor, type Exercise, type StartNumber } from '../exercise/index.ts'
import { imageSize, type Image } from '../image/index.ts'
import { Trial, TrialSearch, usualTime, type Stage } from '../trial/index.ts'
import { rounded } from './marks.ts'
import { startIn, type Report } from './report.ts'

/** Units of work (`countWork`) that looking for an edit may take beside the grade itself: some 0.1 s. */
const workForSearch = 12_000_000
/** What it takes to make one edit of instructions. */
const workOfSplicing = 2_000
/** Edits of instructions that are tried: to the tier that puts in what is often forgotten. */
const likelyTiers = 4
/** Failing cases on which edits are tried before they are graded. */
const mostCases = 4
/** Programs graded at most. */
const mostGraded = 6
/** Instructions that a model answer has at least: of fewer, all but one are next to nothing. */
const fewestInstructions = 4

export interface NearlyRightSetting {
  /** With the student's constants in place. */
  readonly exercise: Exercise
  readonly profile: BoardProfile
  readonly seed: number
  /** Whether an edited program passes every check, luck judged. */
  readonly passes: (image: Image) => boolean
}

/** The report, with the score lifted to what the exercise says where a program is nearly right. */
export function withNearness(report: Report, program: Program, setting: NearlyRightSetting): Report {
  const { nearlyRight } = setting.exercise
  if (nearlyRight === null || report.isFullMarks) return report
  const outOf = report.groups.reduce((sum, group) => sum + group.outOf, 0)
  const marks = rounded((outOf * nearlyRight) / 100)
  if (report.score >= marks || !isNearlyRight(program, report, setting)) return report
  const message = `One byte or one instruction from right: ${marks} marks at least.`
  return { ...report, score: marks, nearlyRight: { marks, message } }
}

/**
 * Whether one byte or one instruction changed, left out or put in would make a failing program pass every check. Compared
 * with the model answer first, at no cost; then edits are tried on the case that the program fails and what passes there is
 * graded, as long as the work allowed lasts, so that the answer is the same on every computer. A task of fewer than four
 * instructions has no programs that are nearly right, and neither is one of less than half the model answer's bytes.
 */
function isNearlyRight(program: Program, report: Report, setting: NearlyRightSetting): boolean {
  const model = modelProgram(setting.exercise, setting.profile)
  if (model === null || 2 * imageSize(program.image) < imageSize(model.image)) return false
  if (model.listing.filter(({ kind }) => kind === 'instruction').length < fewestInstructions) return false
  if (isOneSlipFrom(program.image, model)) return true
  return isMended(program, model, report, setting)
}

function isMended(program: Program, model: Program, report: Report, setting: NearlyRightSetting): boolean {
  const { exercise, profile, seed, passes } = setting
  const failed = new Set(
    report.checks.flatMap(({ outcome, decidedAt }) =>
      outcome === 'passed' || decidedAt === null ? [] : [decidedAt.caseId],
    ),
  )
  const usual = (id: string): TState => modelRun(exercise, profile, id, seed)?.tStates ?? Infinity
  const failing = report.cases.filter(({ id }) => failed.has(id)).toSorted((a, b) => usual(a.id) - usual(b.id))
  // A case with a short run, by which most edits are dropped, and some of the others.
  const step = Math.max(1, Math.ceil(failing.length / mostCases))
  const cases = failing.filter((_, i) => i % step === 0).map(({ id }) => id)
  const otherStart = (id: string): StartNumber | undefined => {
    const start = startIn(report, id)
    // With the usual one the model answer's run is at hand.
    return report.cases.some((each) => each.id === id && each.start === start) ? undefined : start
  }
  const trial = new Trial(exercise, profile, program, seed, otherStart, cases)
  // Model answers' runs are kept from grade to grade: they are made before anything is counted.
  for (const stage of trial.stages) usualTime(stage)
  const search = new TrialSearch(trial)
  let left = workForSearch
  let graded = 0
  for (const { image, work } of edits(program, model, readOptionsFor(exercise, profile))) {
    left -= work
    const tried = withinWork(Math.max(0, left), () => search.verdictOn(image, long))
    if (tried === null) return false
    left -= tried.work
    if (tried.value !== 'passes') continue
    graded += 1
    if (passes(image)) return true
    if (graded === mostGraded) return false
  }
  return false
}

/** Room for programs twice as slow as the model answer. */
function long(stage: Stage): TState {
  return Math.min(stage.request.budget, 2 * usualTime(stage) + 10_000)
}

interface EditedImage {
  readonly image: Image
  /** What it took to make it. */
  readonly work: number
}

/** One edit each, the likely slips first. */
function* edits(program: Program, model: Program, options: ReadOptions): Generator<EditedImage> {
  const { image } = program
  function* byBytes(all: Iterable<ByteEdit>): Generator<EditedImage> {
    for (const edit of all) {
      const edited = editedImage(image, edit)
      if (edited !== null) yield { image: edited, work: 0 }
    }
  }
  yield* byBytes(swaps(image))
  yield* byBytes(removals(image))
  yield* byBytes(likelyReplacements(image, addressesOf(image)))
  for (const { image: edited, tier } of likelyEdits(program, options, model)) {
    if (tier > likelyTiers) return
    yield { image: edited, work: workOfSplicing }
  }
}
