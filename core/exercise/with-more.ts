import { checkSchema } from './check-schema.ts'
import { exerciseCase } from './case.ts'
import { coherenceProblems } from './coherence.ts'
import type { Exercise } from './exercise.ts'
import { exerciseFor } from './exercise-for.ts'
import { prepareCheck, type ParsedExercise } from './parse.ts'
import { collectProblems, documentProblem } from './schema/index.ts'

/** What is added to an exercise, as it would stand in its document. */
export interface MorePlain {
  readonly plainCase: unknown
  readonly plainCheck: unknown
}

/**
 * The exercise of one student (`exerciseFor`) with a case, or a check, or both at the end of its lists; null for neither.
 * Problems of what was added, and of what is there already with it: a check that takes a value from every case.
 */
export function withMore(written: Exercise, seed: number, { plainCase, plainCheck }: MorePlain): ParsedExercise {
  const found = collectProblems()
  const { problems, report } = found
  const wrong = (): ParsedExercise => ({ isOk: false, exercise: null, problems, untold: found.untold })
  const before = exerciseFor(written, seed)
  const [cases, checks] = [before.cases.length, before.checks.length]
  const more = plainCase === null ? null : exerciseCase.read(plainCase, ['cases', cases], report)
  const check = plainCheck === null ? null : checkSchema.read(plainCheck, ['checks', checks], report)
  if (more === undefined || check === undefined) return wrong()
  const exercise: Exercise = {
    ...before,
    cases: more === null ? before.cases : [...before.cases, more],
    checks: check === null ? before.checks : [...before.checks, check],
    written: null,
  }
  for (const problem of coherenceProblems(exercise)) report(problem)
  for (const [i, each] of problems.length > 0 ? [] : exercise.checks.entries()) {
    for (const { id } of exercise.cases) {
      const isDecided = each.cases === null || each.cases.includes(id)
      if (!isDecided || prepareCheck(exercise, each, id) !== undefined) continue
      report(documentProblem(['checks', i], 'unknown-name', `no value in the case ${id}`, 'one in its `expect`'))
    }
  }
  return problems.length > 0 ? wrong() : { isOk: true, exercise, problems: [] }
}
