import type { CheckResult, Report } from '../../../core/grading/index.ts'
import { floodText } from '../../../core/exercise/index.ts'
import type { RunEnd } from '../../../core/run/index.ts'
import { showRange, showWord } from '../../../core/image/index.ts'
import { count } from '../../words/index.ts'

/** One sentence for the whole report. */
export function outcomeSentence(report: Report): string {
  if (report.status === 'unreadable') return 'The text could not be read as a program, so nothing was run.'
  const passed = report.checks.filter((check) => check.outcome === 'passed').length
  if (report.isFullMarks) return `All ${count(report.checks.length, 'check')} passed.`
  const nearly = report.nearlyRight === undefined ? '' : ` ${report.nearlyRight.message}`
  return `${passed} of ${count(report.checks.length, 'check')} passed.${nearly}`
}

/** How a run ended, in words. */
export function endSentence(end: RunEnd): string {
  switch (end.kind) {
    case 'halted':
      return 'Halted'
    case 'returned':
      return 'Returned'
    case 'breakpoint':
      return `Breakpoint at ${showWord(end.address)}`
    case 'budget-used-up':
      if (end.events !== undefined) return `Stopped: ${floodText(end.events)}`
      return end.loop === null
        ? 'Budget used up'
        : `Budget used up, in the loop at ${showRange(end.loop.from, end.loop.to)}`
    case 'proven-loop':
      return `Proven loop at ${showRange(end.loop.from, end.loop.to)}: it can never end`
    case 'left-program':
      return `Left the program at ${showWord(end.from)}, to ${showWord(end.address)}`
    case 'stopped':
      return 'Stopped'
    case 'stack-fault':
      return `Stack fault, SP = ${showWord(end.sp)}`
  }
}

export interface CheckGroup {
  readonly id: string
  readonly title: string
  readonly marks: number
  readonly outOf: number
  readonly checks: readonly CheckResult[]
}

/** Checks under their groups, in the order of the report. */
export function grouped(report: Report): readonly CheckGroup[] {
  return report.groups.map((group) => ({
    ...group,
    checks: report.checks.filter((check) => check.group === group.id),
  }))
}

/** Ids of the checks that were not passed. */
export function failedIn(report: Report | null): readonly string[] {
  return (report?.checks ?? []).filter(({ outcome }) => outcome !== 'passed').map(({ id }) => id)
}
