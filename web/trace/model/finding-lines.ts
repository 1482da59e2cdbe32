import type { CheckResult, Report } from '../../../core/grading/index.ts'
import type { Cause, ConceptCard } from '../../../server/contract/index.ts'
import type { SignName, StatusName } from '../../parts/index.ts'
import { findingsOf } from './findings.ts'

/** One thing that somebody or something found in the run, as a line of the strip. */
export interface FindingLine {
  readonly key: string
  /** Its sign and word: a state of a check, or words of its own. */
  readonly status: StatusName | { readonly sign: SignName; readonly tone: 'wait' | 'fail'; readonly word: string }
  readonly title: string
  readonly message: string
  readonly at: { readonly caseId: string; readonly step: number; readonly start?: number } | null
  readonly check: CheckResult | null
  readonly card: ConceptCard | null
  /** False where the student is not told. */
  readonly isTold: boolean
}

/** What went wrong first, then its likeliest cause, then the rest in the order of the report. */
export function findingLines(
  report: Report | null,
  causes: readonly Cause[],
  cards: Readonly<Record<string, ConceptCard>>,
): readonly FindingLine[] {
  const checks = findingsOf(report).map((check): FindingLine => ({
    key: `check ${check.id}`,
    status: check.outcome,
    title: check.title,
    message: check.message,
    at: check.decidedAt,
    check,
    card: null,
    isTold: true,
  }))
  const found = causes.map((cause, at): FindingLine => ({
    key: `cause ${at} ${cause.id}`,
    status: { sign: at === 0 ? 'right' : 'dot', tone: 'wait', word: at === 0 ? 'Likeliest cause' : 'Possible' },
    title: cause.title,
    message: cause.message,
    at: cause.caseId !== null && cause.step !== null ? { caseId: cause.caseId, step: cause.step } : null,
    check: null,
    card: cause.card === null ? null : (cards[cause.card] ?? null),
    isTold: cause.isVisible,
  }))
  return [...checks.slice(0, 1), ...found.slice(0, 1), ...checks.slice(1), ...found.slice(1)]
}
