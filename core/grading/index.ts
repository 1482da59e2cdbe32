export type { CaseResult, CheckOutcome, CheckResult, Decision, GroupResult, Report } from './report.ts'
