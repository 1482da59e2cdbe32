import { benchEight } from '../../../core/board/index.ts'
import { parseExercise } from '../../../core/exercise/index.ts'
import { grade, type CheckResult } from '../../../core/grading/index.ts'

/** How one check comes out on a real run of an assembly program; `parts` are those of the exercise around it. */
export function gradeWith(kind: string, fields: object, text: string, parts: object = {}): CheckResult {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    ...{ cases: [{ id: 'one' }], groups: [{ id: 'all', title: 'All', marks: 100 }] },
    checks: [{ id: 'it', kind, title: 'It', group: 'all', ...fields }],
    ...parts,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  const report = grade({ format: 'assembly', text }, parsed.exercise, benchEight)
  const [result] = report.checks
  if (report.status !== 'graded' || result === undefined) {
    throw new Error(report.problems.map((problem) => problem.message).join('\n'))
  }
  return result
}
