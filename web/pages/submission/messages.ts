import type { Cause, ConceptCard, Diagnosis, FeedbackKind, FeedbackMessage } from '../../../server/contract/index.ts'

export const kindWords: Readonly<Record<FeedbackKind, string>> = {
  result: 'Result',
  gap: 'Measured and wanted',
  'task-rule': 'Rule of the task',
  mistake: 'Mistake',
  concept: 'What to know',
  'how-to-go-on': 'How to go on',
  reflect: 'Ask yourself',
}

/** What a check row needs: the message of its check; null where it was switched off, undefined before it is known. */
export function messageOfCheck(found: Diagnosis | null, checkId: string): FeedbackMessage | null | undefined {
  if (found === null) return undefined
  return (
    found.feedback.find(({ kind, checkId: id }) => (kind === 'gap' || kind === 'task-rule') && id === checkId) ?? null
  )
}

/** One thing to draw under "What went wrong". */
export type Drawn =
  | {
      readonly what: 'cause'
      readonly id: string
      readonly cause: Cause
      readonly text: string
      readonly card: ConceptCard | null
    }
  | { readonly what: 'message'; readonly id: string; readonly message: FeedbackMessage }
  | { readonly what: 'repair'; readonly id: string }
  | { readonly what: 'smallest'; readonly id: string }

/**
 * Causes, with the card of each, and the other messages that have no place of their own, in the order that is set. What was
 * switched off is not there.
 */
export function drawn(found: Diagnosis): readonly Drawn[] {
  return found.feedback.flatMap((message): readonly Drawn[] => {
    const { id, kind, causeId, text } = message
    if (kind === 'result' || kind === 'gap' || kind === 'task-rule') return []
    if (kind === 'mistake') {
      const cause = found.causes.find((each) => each.id === causeId)
      if (cause === undefined) return []
      const usual = `${cause.title}. ${cause.message}`
      const card = found.feedback.some((each) => each.kind === 'concept' && each.causeId === causeId)
      return [
        {
          what: 'cause',
          id,
          cause,
          text: text === usual ? cause.message : text,
          card: card ? (found.cards[cause.card ?? ''] ?? null) : null,
        },
      ]
    }
    // The card of a cause stands with it.
    if (kind === 'concept' && causeId !== null) return []
    if (id === 'how-to-go-on.smallest' && found.counterexample !== null) return [{ what: 'smallest', id }]
    if (id === 'how-to-go-on.narrowed' && found.repair !== null) return [{ what: 'repair', id }]
    return [{ what: 'message', id, message }]
  })
}

/** Course or exercise have set that what was measured comes before the causes. */
export function areChecksFirst({ order }: Diagnosis): boolean {
  return (
    order !== null &&
    order.includes('gap') &&
    (!order.includes('mistake') || order.indexOf('gap') < order.indexOf('mistake'))
  )
}
