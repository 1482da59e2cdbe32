import { noFeedbackSettings, parseFeedbackSettings } from '../../core/exercise/index.ts'
import type { FeedbackSettings } from '../contract/index.ts'

/** Settings as they are stored; an empty object is none. */
export function readSettings(stored: unknown): FeedbackSettings {
  const read = parseFeedbackSettings(stored)
  return read.isOk ? toSettings(read.settings) : toSettings(noFeedbackSettings)
}

/** Levels from the widest to the narrowest: the last order and the last wording win, and what one switches off stays off. */
export function inForce(levels: readonly FeedbackSettings[]): FeedbackSettings {
  return {
    order: levels.findLast(({ order }) => order !== null)?.order ?? null,
    off: [...new Set(levels.flatMap(({ off }) => off))],
    texts: Object.assign({}, ...levels.map(({ texts }) => texts)) as FeedbackSettings['texts'],
  }
}

export function toSettings({ order, off, texts }: typeof noFeedbackSettings): FeedbackSettings {
  return { order: order === null ? null : [...order], off: [...off], texts: { ...texts } }
}
