import type { Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import { exerciseFor, modelProgram, runRequestFor, type Exercise } from '../../exercise/index.ts'
import { startIn, type Report } from '../../grading/index.ts'
import { record } from '../../run/index.ts'
import { compareRuns } from './compare-runs.ts'
import type { Difference, Place } from './difference.ts'
import type { ComparedRun } from './observe.ts'
import { comparisonOptions } from './options.ts'

/** Where the trace of a hand-in begins to be worth looking at. */
export interface OpeningPlace extends Place {
  readonly caseId: string
  /** The first event that the model answer has otherwise; null where they part nowhere and the check's moment is told. */
  readonly difference: Difference | null
}

/**
 * The first wrong event of a hand-in: where its run parts from the model answer's in the case in which the report says
 * that the first thing went wrong; without one, or without a model answer, the moment at which that check was decided.
 * Where the report names none, which it does when only hidden checks failed, the first of `cases` in which the runs part.
 * Null where nothing can be shown. `cases` are those that may be looked at, the visible ones unless given.
 */
export function openingPlace(
  report: Report,
  program: Program,
  written: Exercise,
  profile: BoardProfile,
  cases: readonly string[] = report.cases.filter(({ isVisible }) => isVisible).map(({ id }) => id),
): OpeningPlace | null {
  if (report.status !== 'graded' || report.isFullMarks) return null
  const { firstWrong, seed } = report
  const exercise = exerciseFor(written, seed)
  const answer = modelProgram(exercise, profile)
  const moment = firstWrong !== null && cases.includes(firstWrong.caseId) ? firstWrong : null
  const runOf = (own: Program, caseId: string): ComparedRun => {
    const request = runRequestFor(exercise, profile, own, caseId, seed, startIn(report, caseId))
    return { recording: record(request), request }
  }
  for (const caseId of moment === null ? cases : [moment.caseId]) {
    if (answer === null) break
    const options = comparisonOptions(exercise, profile, caseId, seed)
    const { difference } = compareRuns(runOf(answer, caseId), runOf(program, caseId), profile, options)
    if (difference !== null) return { caseId, ...difference.at.found, difference }
  }
  return moment === null ? null : { caseId: moment.caseId, step: moment.step, t: moment.t, difference: null }
}
