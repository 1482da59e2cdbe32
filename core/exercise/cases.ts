import type { ExerciseCase } from './case.ts'
import type { Exercise } from './exercise.ts'

/** One run of one case: a case with `times: 3` has three, named `id-1` to `id-3`. */
export interface CaseInstance {
  readonly id: string
  readonly title: string
  readonly isVisible: boolean
  readonly of: ExerciseCase
}

/** Every run of an exercise, in the order of its cases. */
export function caseInstances(exercise: Pick<Exercise, 'cases'>): readonly CaseInstance[] {
  return exercise.cases.flatMap((each) => {
    const title = each.title ?? each.id
    if (each.times === 1) return [{ id: each.id, title, isVisible: each.visible, of: each }]
    return Array.from({ length: each.times }, (_, i) => ({
      id: `${each.id}-${i + 1}`,
      title: `${title} ${i + 1}`,
      isVisible: each.visible,
      of: each,
    }))
  })
}
