import { kindNamed } from '../exercise/index.ts'
import type { CheckResult, Report } from './report.ts'

/**
 * The report as its student may see it: of hidden checks the category, the outcome and the marks; of hidden cases
 * nothing, and nothing that a visible check measured on one; of checks that tell the result alone not what is wanted.
 */
export function studentReport(report: Report): Report {
  const hiddenCases = new Set(report.cases.filter((each) => !each.isVisible).map((each) => each.id))
  let hidden = 0
  const checks = report.checks.map((check) => {
    if (!check.isVisible) return hiddenCheck(check, ++hidden)
    const isOnHidden = check.decidedAt !== null && hiddenCases.has(check.decidedAt.caseId)
    return isOnHidden ? onHiddenCase(check) : check.tells === 'result' ? resultOnly(check) : check
  })
  return { ...report, cases: report.cases.filter((each) => each.isVisible), checks }
}

const nothing = { measured: null, wanted: null, tolerance: null, decidedAt: null } as const

function hiddenCheck(check: CheckResult, number: number): CheckResult {
  const category = kindNamed(check.kind)?.category ?? check.kind
  return {
    id: `hidden-${number}`,
    title: `Hidden check of ${category}`,
    kind: check.kind,
    group: check.group,
    isVisible: false,
    tells: check.tells,
    outcome: check.outcome,
    ...nothing,
    message: hiddenMessage(check, category),
    share: check.share,
    counts: check.counts,
    marks: check.marks,
    outOf: check.outOf,
  }
}

function hiddenMessage(check: CheckResult, category: string): string {
  switch (check.outcome) {
    case 'passed':
      return `Passed: ${category}.`
    case 'not-reached':
    case 'skipped-by-gate':
      return 'Not counted yet.'
    default:
      return withShare(`Failed: ${category}.`, check)
  }
}

function onHiddenCase(check: CheckResult): CheckResult {
  const wrong = 'Right on the runs that you can see, wrong on a hidden one.'
  const message = check.outcome === 'passed' ? 'Right on every run.' : withShare(wrong, check)
  return { ...check, ...nothing, message }
}

/** Right or wrong, and what the student has written; not what would be right. */
function resultOnly(check: CheckResult): CheckResult {
  const isDecided = check.outcome === 'failed' || check.outcome === 'out-of-tolerance'
  return {
    ...check,
    wanted: null,
    tolerance: null,
    message: isDecided ? withShare('Not right yet.', check) : check.message,
  }
}

/** How much of it is right is told with the marks in any case. */
function withShare(message: string, { share }: CheckResult): string {
  return share === null ? message : `${message} ${share}.`
}
