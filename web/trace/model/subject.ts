import type { CheckResult } from '../../../core/grading/index.ts'
import type { Trace } from '../../../server/contract/index.ts'

/** What on the page a finding is about, beside the instruction at its step. */
export type Subject =
  | { readonly kind: 'memory'; readonly address: number }
  | { readonly kind: 'registers'; readonly names: readonly string[] }
  | { readonly kind: 'digits' }
  | { readonly kind: 'speaker' }
  | { readonly kind: 'stack' }

const fixed: Readonly<Record<string, Subject>> = {
  'digits-seen': { kind: 'digits' },
  'signs-in-turn': { kind: 'digits' },
  'shown-after-key': { kind: 'digits' },
  lamps: { kind: 'digits' },
  speaker: { kind: 'speaker' },
  'tones-in-turn': { kind: 'speaker' },
  flags: { kind: 'registers', names: ['F'] },
  'stack-balance': { kind: 'stack' },
}

/** Null where the check is about the code alone, or its fields are kept from the reader. */
export function subjectOf(check: CheckResult, { exercise, board }: Pick<Trace, 'exercise' | 'board'>): Subject | null {
  const known = fixed[check.kind]
  if (known !== undefined) return known
  if (check.kind === 'digit-buffer') return { kind: 'memory', address: board.layout.digitBuffer }
  // A student's document says what is wanted in words alone.
  if (!('checks' in exercise)) return null
  const fields = exercise.checks.find(({ id }) => id === check.id)
  if (fields === undefined) return null
  const { want } = fields
  if (check.kind.startsWith('memory') && Array.isArray(want)) {
    const [first] = want as readonly { readonly at?: unknown }[]
    return typeof first?.at === 'number' ? { kind: 'memory', address: first.at } : null
  }
  if (check.kind === 'registers' && typeof want === 'object' && want !== null)
    return { kind: 'registers', names: Object.keys(want).map((name) => name.toUpperCase()) }
  return null
}
