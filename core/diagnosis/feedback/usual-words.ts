import type { FeedbackKind } from '../../exercise/index.ts'

/** Messages about the whole report, by what they say when. */
export const reportWords = {
  'how-to-go-on.unreadable': 'Mend the lines that are named first; nothing was run yet.',
  'how-to-go-on.trace':
    'Open the trace at the first thing that is wrong and step back from there: what did the last few instructions leave?',
  'how-to-go-on.narrowed': '(Where a small edit would mend it, narrowed to eight addresses.)',
  'how-to-go-on.hints': 'If you are stuck, take the next hint. It asks a question first.',
  'how-to-go-on.smallest': 'Follow the smallest input that goes wrong by hand, one instruction after the other.',
  'reflect.guess':
    'Before you change anything: say in one sentence what you think goes wrong, and find the step of the trace that shows it.',
  'reflect.passed':
    'All right. Which case did you check yourself before you handed in, and which did you not think of?',
} as const

export type ReportMessageId = keyof typeof reportWords

/** The kind that the name of a message begins with. */
export function kindOfMessage(id: string): FeedbackKind {
  return id.slice(0, id.indexOf('.')) as FeedbackKind
}

/** Kinds of check that are rules of the task, not results. */
export const ruleKinds: readonly string[] = [
  ...['size', 'required-instruction', 'forbidden-instruction', 'calls-routine', 'forbidden-routine', 'program-bytes'],
  ...['registers-kept', 'stack-balance', 'writes-own-code', 'runs-elsewhere', 't-states'],
]
