import type { CheckResult, Report } from '../../../core/grading/index.ts'

/**
 * The checks that tell what went wrong, in the order of the report but the first wrong one on top. One that is right and
 * only does not count yet is left out.
 */
export function findingsOf(report: Report | null): readonly CheckResult[] {
  if (report === null) return []
  const first = report.checks.filter((check) => check.id === report.firstWrong?.checkId)
  const others = report.checks.filter(
    (check) => check.outcome !== 'passed' && check.outcome !== 'skipped-by-gate' && !first.includes(check),
  )
  return [...first, ...others]
}
