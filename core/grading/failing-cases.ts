import type { BoardProfile } from '../board/index.ts'
import type { TState } from '../cpu/index.ts'
import { modelRun, type Exercise } from '../exercise/index.ts'
import type { Report } from './report.ts'

/** Most cases on which edits are tried before what passes there is graded. */
const most = 4

/** Cases that a hand-in failed, by which nearly every wrong edit is dropped: the one with the shortest run, and some of the others. */
export function failingCases(report: Report, exercise: Exercise, profile: BoardProfile): readonly string[] {
  const failed = new Set(
    report.checks.flatMap(({ outcome, decidedAt }) =>
      outcome === 'passed' || decidedAt === null ? [] : [decidedAt.caseId],
    ),
  )
  const usual = (id: string): TState => modelRun(exercise, profile, id, report.seed)?.tStates ?? Infinity
  const failing = report.cases.filter(({ id }) => failed.has(id)).toSorted((a, b) => usual(a.id) - usual(b.id))
  const step = Math.max(1, Math.ceil(failing.length / most))
  return failing.filter((_, i) => i % step === 0).map(({ id }) => id)
}
