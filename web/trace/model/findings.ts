import type { CheckResult, Report } from '../../../core/grading/index.ts'

/**
 * The checks that tell what went wrong, in the order of the report but the first wrong one on top. A check behind a shut
 * gate does not count and is left out, unless it is the one that saw the first wrong thing.
 */
export function findingsOf(report: Report | null): readonly CheckResult[] {
  if (report === null) return []
  const first = report.checks.filter((check) => check.id === report.firstWrong?.checkId)
  const others = report.checks.filter(
    (check) => check.outcome !== 'passed' && check.outcome !== 'skipped-by-gate' && !first.includes(check),
  )
  return [...first, ...others]
}
