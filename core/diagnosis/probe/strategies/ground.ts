import type { ReadOptions } from '../../../assembler/index.ts'
import type { BoardProfile } from '../../../board/index.ts'
import type { Exercise } from '../../../exercise/index.ts'
import type { Stage } from '../../../trial/index.ts'
import type { ModelFacts } from './model-facts.ts'

/** What strategies are made from. */
export interface Ground {
  readonly exercise: Exercise
  readonly profile: BoardProfile
  readonly facts: ModelFacts
  readonly options: ReadOptions
  /** Every run of every case, the short ones first. */
  readonly stages: readonly Stage[]
}

/** One run of each case that has no program of the instructor around it. */
export function onePerCase({ stages }: Ground): readonly Stage[] {
  return stages.filter(
    ({ model, request, instance }, i) =>
      model !== null &&
      request.image.segments.length === 0 &&
      stages.findIndex((other) => other.instance.of === instance.of) === i,
  )
}
