import type { Diagnosis, FeedbackKind, FeedbackMessage } from '../../../server/contract/index.ts'

export const kindWords: Readonly<Record<FeedbackKind, string>> = {
  result: 'Result',
  gap: 'Measured and wanted',
  'task-rule': 'Rule of the task',
  mistake: 'Mistake',
  concept: 'What to know',
  'how-to-go-on': 'How to go on',
  reflect: 'Ask yourself',
}

/** Kinds that the score, the checks and the causes have a place of their own for. */
const drawnElsewhere: readonly FeedbackKind[] = ['result', 'gap', 'mistake', 'concept']

/** The messages that stand under the causes, in the order the course has set. */
export function messagesBeside({ feedback }: Diagnosis): readonly FeedbackMessage[] {
  return feedback.filter(({ kind }) => !drawnElsewhere.includes(kind))
}
