import { restedOn, type Exercise } from '../exercise/index.ts'

/** What part of the marks of what a check rests on lets it count in full. */
const enough = 0.5

/** Marks of one check: what it got, and what it could have got. */
export interface CheckMarks {
  readonly marks: number
  readonly outOf: number
  /** What part of its marks counts, 0 to 1, by what the checks that it rests on have earned; 0 behind a failed gate. */
  readonly counts: number
  /** The checks that keep it from counting in full. */
  readonly heldBy: readonly string[]
}

/**
 * The marks of every check, in the order of the exercise, unrounded. A group's marks are shared by weight; a check gets
 * its share of them times what is right of it (`shareOf`, 0 to 1). A check that rests on others, by itself or through its
 * group, counts in full once these have earned half of their own marks, and before that in proportion: one slip that spoils
 * many results costs the results alone. A failed gate takes the marks of its group and no other's.
 */
export function sharedMarks(
  exercise: Pick<Exercise, 'groups' | 'checks'>,
  shareOf: (checkId: string) => number,
): readonly CheckMarks[] {
  const known = new Map<string, CheckMarks>()
  const weights = new Map(
    exercise.groups.map(({ id }) => [
      id,
      exercise.checks.filter(({ group }) => group === id).reduce((sum, { weight }) => sum + weight, 0),
    ]),
  )
  const of = (check: Exercise['checks'][number]): CheckMarks => {
    const before = known.get(check.id)
    if (before !== undefined) return before
    const group = exercise.groups.find(({ id }) => id === check.group)
    const outOf = ((group?.marks ?? 0) * check.weight) / (weights.get(check.group) ?? 1)
    const shut = exercise.checks.filter(
      ({ id, group: other, gate }) => gate && other === check.group && id !== check.id && shareOf(id) < 1,
    )
    const rests = restedOn(exercise, check).map((each) => ({ id: each.id, ...of(each) }))
    const earned = rests.reduce((sum, { marks }) => sum + marks, 0)
    const possible = rests.reduce((sum, each) => sum + each.outOf, 0)
    const counts = shut.length > 0 ? 0 : possible === 0 ? 1 : Math.min(1, earned / (enough * possible))
    const held = shut.length > 0 ? shut : counts === 1 ? [] : rests.filter((each) => each.marks < each.outOf)
    const made = { marks: outOf * shareOf(check.id) * counts, outOf, counts, heldBy: held.map(({ id }) => id) }
    known.set(check.id, made)
    return made
  }
  return exercise.checks.map(of)
}

/** Two decimal places, halves up. */
export function rounded(marks: number): number {
  // Thirds of marks add up to 99.99999999999999: a billionth lifts them back.
  return Math.floor(marks * 100 + 0.5 + 1e-7) / 100
}
