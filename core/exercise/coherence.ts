import type { Exercise } from './exercise.ts'
import { documentProblem, nearestSpelling, type DocumentProblem, type Path } from './schema/index.ts'

/** What no single field can tell: marks that do not add up, names used twice, names that lead nowhere. */
export function coherenceProblems(exercise: Exercise): readonly DocumentProblem[] {
  const problems: DocumentProblem[] = []
  const groupIds = exercise.groups.map((each) => each.id)
  const caseIds = exercise.cases.map((each) => each.id)
  const checkIds = exercise.checks.map((each) => each.id)

  const lists = [
    ['groups', groupIds],
    ['cases', caseIds],
    ['checks', checkIds],
    ['cards', exercise.cards.map((each) => each.id)],
  ] as const
  for (const [field, ids] of lists) {
    for (const [i, id] of ids.entries()) {
      if (ids.indexOf(id) < i) {
        problems.push(documentProblem([field, i, 'id'], 'duplicate', `'${id}' a second time`, 'each id once'))
      }
    }
  }

  // Marks are written with few decimals; a millionth of a mark is the noise of adding them up.
  const marks = exercise.groups.reduce((sum, each) => sum + each.marks, 0)
  if (Math.abs(marks - 100) > 1e-6) {
    problems.push(
      documentProblem(['groups'], 'marks', `marks that add up to ${Number(marks.toFixed(2))}`, 'exactly 100'),
    )
  }
  for (const [i, each] of exercise.groups.entries()) {
    if (exercise.checks.some((check) => check.group === each.id)) continue
    problems.push(documentProblem(['groups', i], 'empty-group', `no check in '${each.id}'`, 'at least one check'))
  }

  const mustBe = (path: Path, id: string, ids: readonly string[]): void => {
    if (ids.includes(id)) return
    const known = ids.length === 0 ? 'nothing' : ids.join(', ')
    problems.push(documentProblem(path, 'dangling', `'${id}'`, known, nearestSpelling(id, ids)))
  }
  for (const [i, check] of exercise.checks.entries()) {
    mustBe(['checks', i, 'group'], check.group, groupIds)
    for (const [j, id] of (check.cases ?? []).entries()) mustBe(['checks', i, 'cases', j], id, caseIds)
  }
  for (const [i, each] of exercise.groups.entries()) {
    const others = exercise.checks.filter((check) => check.group !== each.id).map((check) => check.id)
    for (const [j, id] of each.needs.entries()) mustBe(['groups', i, 'needs', j], id, others)
  }
  for (const field of ['hints', 'cards'] as const) {
    for (const [i, each] of exercise[field].entries()) {
      for (const [j, id] of each.checks.entries()) mustBe([field, i, 'checks', j], id, checkIds)
    }
  }
  for (const [i, each] of exercise.cases.entries()) {
    for (const [j, { register, at, from, to, decimal }] of each.draws.entries()) {
      const path = ['cases', i, 'draws', j]
      if ((register === null) === (at === null)) {
        problems.push(documentProblem(path, 'draw-place', 'both or neither of register and at', 'one of them'))
      }
      if (from > to) problems.push(documentProblem(path, 'draw-range', `from ${from} to ${to}`, 'from not above to'))
      if (decimal && to > 99) problems.push(documentProblem([...path, 'to'], 'draw-range', String(to), '0 to 99'))
      if (at !== null && to > 255) problems.push(documentProblem([...path, 'to'], 'draw-range', String(to), 'a byte'))
    }
  }
  return problems
}
