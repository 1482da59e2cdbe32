import type { FeedbackKind } from '../../exercise/index.ts'
import type { Decision } from '../../grading/index.ts'

/** One message with a report. Plain JSON. */
export interface FeedbackMessage {
  /** `kind.name`: `gap.sum`, `mistake.carry-lost`. Settings switch it off or word it anew by this. */
  readonly id: string
  readonly kind: FeedbackKind
  readonly text: string
  /** The check it is about; null for the whole report. */
  readonly checkId: string | null
  /** The cause it is about. */
  readonly causeId: string | null
  /** Where in a run it shows. */
  readonly at: Decision | null
}

/** A message that an exercise may give, with its usual words. */
export interface CataloguedMessage {
  readonly id: string
  readonly kind: FeedbackKind
  readonly text: string
}
