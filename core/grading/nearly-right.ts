import type { Program } from '../assembler/index.ts'
import { withinWork, type BoardProfile } from '../board/index.ts'
import { candidates, isOneSlipFrom } from '../edits/index.ts'
import { modelProgram, readOptionsFor, type Exercise, type StartNumber } from '../exercise/index.ts'
import { imageSize, type Image } from '../image/index.ts'
import { Trial, TrialSearch, usualTime } from '../trial/index.ts'
import { failingCases } from './failing-cases.ts'
import { rounded } from './marks.ts'
import { startIn, type Report } from './report.ts'

/** Units of work (`countWork`) that looking for an edit may take beside the grade itself: some 0.1 s. */
const workForSearch = 12_000_000
/** What it takes to make one edit of instructions. */
const workOfSplicing = 2_000
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
  const otherStart = (id: string): StartNumber | undefined => {
    const start = startIn(report, id)
    // With the usual one the model answer's run is at hand.
    return report.cases.some((each) => each.id === id && each.start === start) ? undefined : start
  }
  const cases = failingCases(report, exercise, profile)
  const trial = new Trial(exercise, profile, program, seed, otherStart, cases)
  // Model answers' runs are kept from grade to grade: they are made before anything is counted.
  for (const stage of trial.stages) usualTime(stage)
  const search = new TrialSearch(trial, program.image, cases)
  const edits = candidates(program, search.executed(), readOptionsFor(exercise, profile), model)
  const tries = search.tries(edits, model.entry === program.entry ? model.image : null)
  let left = workForSearch
  let graded = 0
  for (;;) {
    const next = withinWork(Math.max(0, left), () => tries.next())
    if (next === null || next.value.done === true) return false
    const { edit, isPassing } = next.value.value
    left -= next.work + (edit.source === null ? 0 : workOfSplicing)
    if (!isPassing) continue
    graded += 1
    if (passes(edit.image)) return true
    if (graded === mostGraded) return false
  }
}
