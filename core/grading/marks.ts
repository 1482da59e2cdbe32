import type { Exercise } from '../exercise/index.ts'

/** Marks of one check: what it got, and what it could have got. */
export interface CheckMarks {
  readonly marks: number
  readonly outOf: number
  /** Not counted, because a gate of its group or a check that its group needs has failed. */
  readonly isSkipped: boolean
}

/**
 * The marks of every check, in the order of the exercise, unrounded. A group's marks are shared by weight. A failed gate
 * takes its group's marks and no other's; so does a failed check that the group needs, and any failed check of an
 * all-or-nothing group.
 */
export function sharedMarks(
  exercise: Pick<Exercise, 'groups' | 'checks'>,
  hasPassed: (checkId: string) => boolean,
): readonly CheckMarks[] {
  const byGroup = new Map(
    exercise.groups.map((group) => {
      const checks = exercise.checks.filter((check) => check.group === group.id)
      const isShut = group.needs.some((id) => !hasPassed(id))
      const isGateShut = checks.some((check) => check.gate && !hasPassed(check.id))
      const isNothing = group.allOrNothing && checks.some((check) => !hasPassed(check.id))
      const weight = checks.reduce((sum, check) => sum + check.weight, 0)
      return [group.id, { marks: group.marks, weight, isShut, isGateShut, isNothing }] as const
    }),
  )
  return exercise.checks.map((check) => {
    const group = byGroup.get(check.group)
    if (group === undefined) return { marks: 0, outOf: 0, isSkipped: false }
    const outOf = (group.marks * check.weight) / group.weight
    const isSkipped = group.isShut || (group.isGateShut && !(check.gate && !hasPassed(check.id)))
    const isCounted = !isSkipped && !group.isNothing && hasPassed(check.id)
    return { marks: isCounted ? outOf : 0, outOf, isSkipped }
  })
}

/** Two decimal places, halves up. */
export function rounded(marks: number): number {
  // Thirds of marks add up to 99.99999999999999: a billionth lifts them back.
  return Math.floor(marks * 100 + 0.5 + 1e-7) / 100
}
