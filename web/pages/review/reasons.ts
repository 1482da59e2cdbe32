import type { ReviewItem } from '../../../server/contract/index.ts'
import type { Status } from '../../parts/index.ts'

/** Why a hand-in is in the queue. */
export const reasons: Record<ReviewItem['reason'], Status> = {
  failing: { word: 'Checks failed', sign: 'cross', tone: 'fail' },
  'to-mark': { word: 'Answer to mark', sign: 'bang', tone: 'wait' },
  unreadable: { word: 'Unreadable', sign: 'bang', tone: 'fail' },
  'grader-fault': { word: 'Grader fault', sign: 'bang', tone: 'fail' },
  held: { word: 'Held for review', sign: 'lock', tone: 'wait' },
}
