import {
  choice,
  dictionary,
  list,
  object,
  optional,
  scalar,
  text,
  type DocumentProblem,
  type Read,
} from './schema/index.ts'

/** The kinds of message that a student can get, in the order in which they come unless a course says otherwise. */
export const feedbackKinds = ['result', 'gap', 'task-rule', 'mistake', 'concept', 'how-to-go-on', 'reflect'] as const

export type FeedbackKind = (typeof feedbackKinds)[number]

const idPattern = /^[a-z][A-Za-z0-9.:-]{0,79}$/

const messageName = scalar(
  `a kind (${feedbackKinds.join(', ')}) or the name of one message`,
  { type: 'string', pattern: idPattern.source },
  (value) => (typeof value === 'string' && idPattern.test(value) ? value : undefined),
)

/** What a course or an exercise changes about the messages that students get. */
export const feedback = object('feedback', 'What is changed about the messages that students get with a report.', {
  order: optional(
    list(choice(feedbackKinds), 1, feedbackKinds.length),
    'Kinds of message in the order in which they come; those left out come last.',
    null,
    'the order of the course',
  ),
  off: optional(list(messageName, 0, 100), 'Kinds, or single messages by name, that are not shown.', []),
  texts: optional(
    dictionary(idPattern, 'names of messages', text(1, 1000)),
    'Other words for single messages, by the name of the message.',
    {},
  ),
})

export type FeedbackSettings = Read<typeof feedback>

/** Nothing changed. */
export const noFeedbackSettings: FeedbackSettings = { order: null, off: [], texts: {} }

/** Reads the settings of a course: the same fields as `feedback` of an exercise. */
export function parseFeedbackSettings(
  data: unknown,
):
  | { readonly isOk: true; readonly settings: FeedbackSettings; readonly problems: readonly [] }
  | { readonly isOk: false; readonly settings: null; readonly problems: readonly DocumentProblem[] } {
  const problems: DocumentProblem[] = []
  const settings = feedback.read(data, ['feedback'], (problem) => problems.push(problem))
  return settings === undefined ? { isOk: false, settings: null, problems } : { isOk: true, settings, problems: [] }
}
