import { causeIds } from '../../../core/diagnosis/index.ts'
import type { Exercise } from '../../../core/exercise/index.ts'
import type { FeedbackKind } from '../../../server/contract/index.ts'

export interface MessageEntry {
  readonly id: string
  readonly kind: FeedbackKind
  readonly text: string
}

/** The messages that any exercise can give: one for each cause that is known. */
export const courseCatalogue: readonly MessageEntry[] = causeIds.map((id) => ({
  id: `mistake.${id}`,
  kind: 'mistake' as const,
  text: id.replaceAll('-', ' '),
}))

/** Those of one exercise: its checks, and the causes. */
export function exerciseCatalogue(exercise: Exercise): readonly MessageEntry[] {
  const ofChecks = exercise.checks.map((check) => ({ id: `gap.${check.id}`, kind: 'gap' as const, text: check.title }))
  return [...ofChecks, ...courseCatalogue]
}
