import { feedbackProblems } from '../../core/diagnosis/index.ts'
import { noFeedbackSettings, parseFeedbackSettings, type Exercise } from '../../core/exercise/index.ts'
import type { FeedbackSettings } from '../contract/index.ts'
import { ApiError } from '../errors.ts'

/** Settings as they are stored; an empty object is none. */
export function readSettings(stored: unknown): FeedbackSettings {
  const read = parseFeedbackSettings(stored)
  return read.isOk ? toSettings(read.settings) : toSettings(noFeedbackSettings)
}

export function toSettings({ order, off, texts }: typeof noFeedbackSettings): FeedbackSettings {
  return { order: order === null ? null : [...order], off: [...off], texts: { ...texts } }
}

/** Throws where a name stands that no message has; of an exercise, or of a course (null). */
export function requireKnown(settings: FeedbackSettings, exercise: Exercise | null): void {
  const problems = feedbackProblems(settings, exercise)
  const [first] = problems
  if (first === undefined) return
  const faults = problems.map(({ path, message, code }) => ({
    pointer: `/settings/${path.slice(1).join('/')}`,
    message,
    code,
  }))
  throw new ApiError('invalid-request', first.message, { faults })
}
