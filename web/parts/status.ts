import type { SignName } from './Sign.svelte'

/** How a state is coloured; the sign and the word carry it alone where colour cannot be seen. */
export type Tone = 'pass' | 'fail' | 'wait' | 'plain' | 'accent'

export interface Status {
  readonly word: string
  readonly sign: SignName
  readonly tone: Tone
}

const submission = {
  waiting: { word: 'Waiting', sign: 'glass', tone: 'wait' },
  running: { word: 'Running', sign: 'turn', tone: 'wait' },
  graded: { word: 'Graded', sign: 'tick', tone: 'plain' },
  unreadable: { word: 'Unreadable', sign: 'bang', tone: 'fail' },
  'grader-fault': { word: 'Grader fault', sign: 'bang', tone: 'fail' },
} as const satisfies Record<string, Status>

const check = {
  passed: { word: 'Passed', sign: 'tick', tone: 'pass' },
  failed: { word: 'Failed', sign: 'cross', tone: 'fail' },
  'out-of-tolerance': { word: 'Out of tolerance', sign: 'near', tone: 'fail' },
  'not-reached': { word: 'Not reached', sign: 'dash', tone: 'fail' },
  'skipped-by-gate': { word: 'Right, counts later', sign: 'gate', tone: 'plain' },
  'budget-used-up': { word: 'Budget used up', sign: 'glass', tone: 'fail' },
  'machine-fault': { word: 'Machine fault', sign: 'bang', tone: 'fail' },
} as const satisfies Record<string, Status>

const exercise = {
  draft: { word: 'Draft', sign: 'note', tone: 'plain' },
  scheduled: { word: 'Scheduled', sign: 'lock', tone: 'plain' },
  open: { word: 'Open', sign: 'ring', tone: 'accent' },
  'late-window': { word: 'Late window', sign: 'glass', tone: 'wait' },
  closed: { word: 'Closed', sign: 'lock', tone: 'plain' },
} as const satisfies Record<string, Status>

const work = {
  'full-marks': { word: 'Full marks', sign: 'tick', tone: 'pass' },
  'part-marks': { word: 'Part marks', sign: 'half', tone: 'wait' },
  'no-marks': { word: 'No marks', sign: 'cross', tone: 'fail' },
  'not-started': { word: 'Not handed in', sign: 'dash', tone: 'plain' },
} as const satisfies Record<string, Status>

const review = {
  'review-open': { word: 'To review', sign: 'note', tone: 'wait' },
  'review-held': { word: 'Held for review', sign: 'lock', tone: 'wait' },
  'review-settled': { word: 'Settled', sign: 'tick', tone: 'pass' },
} as const satisfies Record<string, Status>

const connection = {
  live: { word: 'Live', sign: 'dot', tone: 'pass' },
  connecting: { word: 'Connecting', sign: 'turn', tone: 'wait' },
  reconnecting: { word: 'Reconnecting', sign: 'turn', tone: 'wait' },
  offline: { word: 'Offline', sign: 'bang', tone: 'fail' },
} as const satisfies Record<string, Status>

/** Every state a page may show, by its name in the contract. */
export const statuses = { ...submission, ...check, ...exercise, ...work, ...review, ...connection } satisfies Record<
  string,
  Status
>

export type StatusName = keyof typeof statuses
