import type { ExercisePatch } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import type { Schedule } from '../store/exercises.ts'
import { disorderOf } from './times.ts'

/** The times of a request as moments; what is left out stays left out. */
export function readSchedule(given: ExercisePatch): Schedule {
  const { isPublished, order, mostTries, pauseSeconds } = given
  return {
    ...(isPublished === undefined ? {} : { isPublished }),
    ...(order === undefined ? {} : { order }),
    ...(mostTries === undefined ? {} : { mostTries }),
    ...(pauseSeconds === undefined ? {} : { pauseSeconds }),
    ...moment('opensAt', given.opensAt),
    ...moment('dueAt', given.dueAt),
    ...moment('closesAt', given.closesAt),
  }
}

/** A course has no times outside these; the database knows no year 0. */
const [firstYear, lastYear] = [1970, 9999]

export function moment<K extends string>(key: K, text: string | null | undefined): Partial<Record<K, Date | null>> {
  if (text === undefined) return {}
  const value = text === null ? null : new Date(text)
  const year = value?.getUTCFullYear() ?? firstYear
  if (Number.isNaN(year) || year < firstYear || year > lastYear)
    throw new ApiError(
      'invalid-request',
      `Found '${text}', allowed a time such as 2026-11-25T09:30:00Z, of the years ${firstYear} to ${lastYear}.`,
      {
        faults: [{ pointer: `/${key}`, message: 'no such time' }],
      },
    )
  return { [key]: value } as Partial<Record<K, Date | null>>
}

export function requireOrder({ opensAt = null, dueAt = null, closesAt = null }: Schedule): void {
  const disorder = disorderOf({ opensAt, dueAt, closesAt })
  if (disorder !== null) throw new ApiError('times-out-of-order', disorder)
}
