import type { ExerciseState } from '../contract/index.ts'

export interface ExerciseTimes {
  readonly isPublished: boolean
  readonly opensAt: Date | null
  readonly dueAt: Date | null
  readonly closesAt: Date | null
}

/** What an exercise is at a moment. Times belong to what they begin: at `dueAt` itself a hand-in is late. */
export function stateAt(times: ExerciseTimes, now: Date): ExerciseState {
  if (!times.isPublished) return 'draft'
  if (times.opensAt !== null && now < times.opensAt) return 'scheduled'
  if (times.dueAt === null || now < times.dueAt) return isPast(times.closesAt, now) ? 'closed' : 'open'
  return times.closesAt === null || isPast(times.closesAt, now) ? 'closed' : 'late-window'
}

function isPast(time: Date | null, now: Date): boolean {
  return time !== null && now >= time
}

/** What is wrong with the order of times, in words; null when nothing is. */
export function disorderOf({ opensAt, dueAt, closesAt }: Omit<ExerciseTimes, 'isPublished'>): string | null {
  if (opensAt !== null && dueAt !== null && opensAt >= dueAt) return 'It opens at or after its due time.'
  if (dueAt !== null && closesAt !== null && dueAt > closesAt) return 'Its late window ends before it is due.'
  if (opensAt !== null && closesAt !== null && opensAt >= closesAt) return 'It opens at or after its end.'
  return null
}
