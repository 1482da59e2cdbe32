import type { CheckResult, Report } from '../../core/grading/index.ts'
import { grade } from '../engine.ts'
import { readExercise, warningLines } from './exercise-file.ts'
import { readCount } from './input.ts'
import { hex, printJson, printProblems } from './output.ts'
import { readProgramText } from './program-file.ts'

export interface GradeOptions {
  readonly json?: boolean
  readonly seed?: string
  /** The program is an answer of the author's: it may use the names of the exercise's constants. */
  readonly staff?: boolean
}

/** `hexcairn grade`: 0 full marks, 1 less, 2 when exercise or program cannot be read. */
export function gradeCommand(named: string, file: string, options: GradeOptions): number {
  const read = readExercise(named)
  const { exercise, profile } = read
  const { format, text } = readProgramText(file, exercise.program.origin ?? profile.layout.program)
  const seed = options.seed === undefined ? 0 : readCount(options.seed, '--seed', 0, 0xffffffff)
  const report = grade({ format, text }, exercise, profile, { seed, isStaffAnswer: options.staff === true })
  if (options.json === true) printJson(report)
  else {
    printProblems(file, report.problems)
    // Who tries an answer of their own wants to know of the document too.
    if (options.staff === true) for (const line of warningLines(read)) process.stderr.write(`${line}\n`)
    if (report.status !== 'unreadable')
      process.stdout.write(reportText(report) + runAgainText(report, named, file, seed))
  }
  return report.status === 'unreadable' ? 2 : report.isFullMarks ? 0 : 1
}

function reportText(report: Report): string {
  const outOf = report.groups.reduce((sum, group) => sum + group.outOf, 0)
  const rows = [`${report.exercise.id} ${report.exercise.title}: ${report.score} of ${outOf}`]
  if (report.nearlyRight !== undefined) rows.push(report.nearlyRight.message)
  if (outOf < 100) rows.push(`The other ${100 - outOf} are for written answers, which people mark.`)
  for (const group of report.groups) {
    rows.push('', `${group.title}: ${group.marks} of ${group.outOf}`)
    for (const check of report.checks.filter(({ group: id }) => id === group.id)) rows.push(...checkRows(check))
  }
  return rows.map((row) => `${row}\n`).join('')
}

/** How the runs in which checks failed are run by themselves, their starts too; empty where none failed in a run. */
function runAgainText({ checks }: Report, named: string, file: string, seed: number): string {
  const places = checks.flatMap(({ outcome, decidedAt }) =>
    outcome === 'passed' || decidedAt === null
      ? []
      : [`--case ${decidedAt.caseId} --seed ${seed} --start ${decidedAt.start}`],
  )
  const lines = [...new Set(places)]
    .slice(0, mostAgain)
    .map((place) => `  hexcairn run ${quoted(file)} --exercise ${quoted(named)} ${place}`)
  return lines.length === 0 ? '' : ['', 'To run again what failed:', ...lines, ''].join('\n')
}
const mostAgain = 3

/** As a POSIX shell takes it for one word. */
function quoted(word: string): string {
  return /^[\w./+:@%-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`
}

function checkRows(check: CheckResult): string[] {
  const isPassed = check.outcome === 'passed'
  const isRight = isPassed || check.outcome === 'skipped-by-gate'
  const said = check.outcome === 'skipped-by-gate' ? 'right, counts later' : check.outcome.replaceAll('-', ' ')
  const rows = [`  ${isRight ? '+' : '-'} ${check.title}: ${said}`]
  if (isPassed && check.counts === 1) return rows
  if (check.message !== '') rows.push(`      ${check.message}`)
  if (isRight) return rows
  if (check.measured !== null)
    rows.push(
      `      measured ${check.measured}; wanted ${check.wanted ?? '-'}${check.tolerance === null ? '' : `, ${check.tolerance}`}`,
    )
  if (check.decidedAt !== null) {
    const { caseId, step, t, address } = check.decidedAt
    rows.push(`      decided in case ${caseId} at step ${step}, T-state ${t}, address ${hex(address, 4)}`)
  }
  return rows
}
