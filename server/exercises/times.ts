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

/** More time for one student. */
export interface MoreTime {
  readonly dueAt: Date
  readonly closesAt: Date | null
}

/** The times of an exercise for a student who has more time: never less than everybody has. */
export function timesWith<T extends ExerciseTimes>(times: T, more: MoreTime | undefined): T {
  if (more === undefined) return times
  const dueAt = times.dueAt === null ? null : later(times.dueAt, more.dueAt)
  const end = times.closesAt ?? times.dueAt
  if (end === null) return times
  const ownEnd = later(end, more.closesAt ?? more.dueAt)
  return { ...times, dueAt, closesAt: dueAt !== null && ownEnd <= dueAt ? null : ownEnd }
}

function later(a: Date, b: Date): Date {
  return a >= b ? a : b
}

/** What is wrong with the order of times, in words; null when nothing is. */
export function disorderOf({ opensAt, dueAt, closesAt }: Omit<ExerciseTimes, 'isPublished'>): string | null {
  if (opensAt !== null && dueAt !== null && opensAt >= dueAt) return 'It opens at or after its due time.'
  if (dueAt !== null && closesAt !== null && dueAt > closesAt) return 'Its late window ends before it is due.'
  if (opensAt !== null && closesAt !== null && opensAt >= closesAt) return 'It opens at or after its end.'
  return null
}
