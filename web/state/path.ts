import type { ExerciseSummary, Standing } from '../../server/contract/index.ts'
import type { StatusName } from '../parts/status.ts'

/** How a student stands with an exercise, as the name of a state that StatusWord can draw. */
export function standingStatus(standing: Standing | null): StatusName {
  if (standing === null || standing.state === null) return 'not-started'
  if (standing.state === 'waiting' || standing.state === 'running') return standing.state
  if (standing.bestScore === null) return standing.state === 'graded' ? 'no-marks' : standing.state
  return scoreStatus(standing.bestScore)
}

export function scoreStatus(score: number): StatusName {
  return score >= 100 ? 'full-marks' : score > 0 ? 'part-marks' : 'no-marks'
}

/** Hand-ins without full marks after which somebody should be asked how it goes. */
export const stuckAfter = 4

export function isStuck(standing: Standing): boolean {
  return standing.attempts >= stuckAfter && (standing.bestScore ?? 0) < 100
}

/** Takes a hand-in now. */
export function isTaking(exercise: ExerciseSummary): boolean {
  return exercise.state === 'open' || exercise.state === 'late-window'
}

/** The exercise to go on with: of those that still take hand-ins and lack full marks, the one due first. */
export function nextOf(exercises: readonly ExerciseSummary[]): ExerciseSummary | null {
  const end = (exercise: ExerciseSummary) => exercise.dueAt ?? exercise.closesAt ?? '9999'
  const left = exercises.filter((each) => isTaking(each) && (each.standing?.bestScore ?? 0) < 100)
  return left.reduce<ExerciseSummary | null>(
    (first, each) => (first === null || end(each) < end(first) ? each : first),
    null,
  )
}
