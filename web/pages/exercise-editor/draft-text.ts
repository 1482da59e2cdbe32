import { Document, isScalar, parse } from 'yaml'
import type { Draft, ExerciseDraft } from '../../../core/diagnosis/index.ts'
import { checkKinds, type ProgramText } from '../../../core/exercise/index.ts'

/** A drafted document as an author reads it: long texts in blocks, short lists on one line. */
export function textOf({ document }: Pick<Draft, 'document'>): string {
  const made = new Document(document)
  const brief = made.get('brief', true)
  // A task on one line is folded as prose; one with lines of its own keeps them.
  if (isScalar(brief) && typeof brief.value === 'string')
    brief.type = brief.value.includes('\n') ? 'BLOCK_LITERAL' : 'BLOCK_FOLDED'
  return made.toString({ lineWidth: 60 })
}

/** What a checks' proposal begins with, out of a document that is being written; null where it has no model answer. */
export function draftOf(text: string, model: ProgramText | null): ExerciseDraft | null {
  if (model === null) return null
  let plain: unknown
  try {
    plain = parse(text, { maxAliasCount: 50 })
  } catch {
    return null
  }
  if (typeof plain !== 'object' || plain === null) return null
  const {
    id,
    title,
    brief,
    checks,
    groups: _groups,
    model: _model,
    format: _format,
    board: _board,
    ...fields
  } = plain as Record<string, unknown>
  return {
    id: String(id ?? ''),
    title: String(title ?? ''),
    brief: String(brief ?? ''),
    model,
    // Hints and cards may name checks, which a proposal does not have.
    fields: { ...fields, hints: [], cards: [] },
    ...endingOf(checks, fields['budget']),
  }
}

/** How a program ends, as the checks of its exercise show: where none looks at its end, it may have none. */
function endingOf(checks: unknown, budget: unknown): Pick<ExerciseDraft, 'ending' | 'lasts'> {
  const kinds = (Array.isArray(checks) ? checks : []).map(
    (check) => (check as { readonly kind?: unknown } | null)?.kind,
  )
  if (kinds.length === 0) return {}
  if (kinds.every((kind) => kind === 'program-bytes')) return { ending: 'sheet' }
  const isOfEnd = kinds.some((kind) => checkKinds.find(({ name }) => name === kind)?.needsEnd !== false)
  return isOfEnd || typeof budget !== 'string' ? {} : { ending: 'runs-on', lasts: budget }
}
