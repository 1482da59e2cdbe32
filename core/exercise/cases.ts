import { boundariesOf, type Boundary } from './boundaries.ts'
import type { ExerciseCase } from './case.ts'
import type { Exercise } from './exercise.ts'

/**
 * One run of one case: a case with `times: 3` has three, named `id-1` to `id-3`; with `boundaries` those of its limits come
 * before them, named `id-limit-1` and so on, each with its values as its title.
 */
export interface CaseInstance {
  readonly id: string
  readonly title: string
  readonly isVisible: boolean
  readonly of: ExerciseCase
  /** What stands in place of drawn values; null where all are drawn. */
  readonly boundary: Boundary | null
}

const known = new WeakMap<readonly ExerciseCase[], readonly CaseInstance[]>()

/** Every run of an exercise, in the order of its cases. */
export function caseInstances({ cases }: Pick<Exercise, 'cases'>): readonly CaseInstance[] {
  const before = known.get(cases)
  if (before !== undefined) return before
  const made = instancesOf(cases)
  known.set(cases, made)
  return made
}

function instancesOf(cases: readonly ExerciseCase[]): readonly CaseInstance[] {
  return cases.flatMap((each) => {
    const title = each.title ?? each.id
    const common = { isVisible: each.visible, of: each }
    const limits = (each.boundaries ? boundariesOf(each.draws) : []).map((boundary, i) => ({
      ...common,
      ...{ id: `${each.id}-limit-${i + 1}`, title: `${title}: ${boundary.title}`, boundary },
    }))
    const alone = [{ ...common, id: each.id, title, boundary: null }]
    if (each.times === 1) return [...limits, ...alone]
    const drawn = Array.from({ length: each.times }, (_, i) => ({
      ...common,
      ...{ id: `${each.id}-${i + 1}`, title: `${title} ${i + 1}`, boundary: null },
    }))
    return [...limits, ...drawn]
  })
}
