import { noFeedbackSettings, parseFeedbackSettings } from '../../core/exercise/index.ts'
import type { FeedbackSettings } from '../contract/index.ts'

/** Settings as they are stored; an empty object is none. */
export function readSettings(stored: unknown): FeedbackSettings {
  const read = parseFeedbackSettings(stored)
  return read.isOk ? toSettings(read.settings) : toSettings(noFeedbackSettings)
}

export function toSettings({ order, off, texts }: typeof noFeedbackSettings): FeedbackSettings {
  return { order: order === null ? null : [...order], off: [...off], texts: { ...texts } }
}
