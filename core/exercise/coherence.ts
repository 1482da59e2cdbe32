import { boundariesOf, mostBoundaries } from './boundaries.ts'
import { callsOfCase } from './calls.ts'
import type { Check } from './check-schema.ts'
import { whenProblem } from './when.ts'
import { kindNamed } from './checks/index.ts'
import { namesIn } from './constants.ts'
import type { Exercise } from './exercise.ts'
import { marksByHand } from './question.ts'
import { restingOnItself } from './rests.ts'
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
    ['questions', exercise.questions.map((each) => each.id)],
  ] as const
  for (const [field, ids] of lists) {
    for (const [i, id] of ids.entries()) {
      if (ids.indexOf(id) < i) {
        problems.push(documentProblem([field, i, 'id'], 'duplicate', `'${id}' a second time`, 'each id once'))
      }
    }
  }

  // Marks are written with few decimals; a millionth of a mark is the noise of adding them up.
  const marks = exercise.groups.reduce((sum, each) => sum + each.marks, 0) + marksByHand(exercise)
  if (Math.abs(marks - 100) > 1e-6) {
    problems.push(
      documentProblem(['groups'], 'marks', `marks that add up to ${Number(marks.toFixed(2))}`, 'exactly 100'),
    )
  }
  for (const [i, { marks: outOf, rubric }] of exercise.questions.entries()) {
    const sum = rubric.reduce((total, point) => total + point.marks, 0)
    if (Math.abs(sum - outOf) <= 1e-6) continue
    const found = `points that add up to ${Number(sum.toFixed(2))}`
    problems.push(documentProblem(['questions', i, 'rubric'], 'rubric', found, `${outOf}, the marks of the question`))
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
    if (check.credit === 'parts' && kindNamed(check.kind)?.part === null) {
      const allowed = `whole or runs: a check of the kind ${check.kind} has no parts`
      problems.push(documentProblem(['checks', i, 'credit'], 'no-parts', "'parts'", allowed))
    }
    if (check.when !== null) problems.push(...whenProblems(exercise, check, ['checks', i, 'when']))
    for (const [j, id] of (check.cases ?? []).entries()) mustBe(['checks', i, 'cases', j], id, caseIds)
  }
  for (const [field, entries] of [['groups', exercise.groups] as const, ['checks', exercise.checks] as const]) {
    for (const [i, { restsOn }] of entries.entries()) {
      for (const [j, id] of restsOn.entries()) {
        const path = [field, i, 'restsOn', j]
        mustBe(path, id, [...checkIds, ...groupIds])
        if (!checkIds.includes(id) || !groupIds.includes(id)) continue
        problems.push(documentProblem(path, 'two-things', `'${id}', a check and a group`, 'a name that only one has'))
      }
    }
  }
  const circle = restingOnItself(exercise)
  if (circle !== null) {
    const found = `'${circle}', which comes to rest on itself`
    problems.push(
      documentProblem(['checks', checkIds.indexOf(circle), 'restsOn'], 'circle', found, 'checks that do not'),
    )
  }
  for (const field of ['hints', 'cards'] as const) {
    for (const [i, each] of exercise[field].entries()) {
      for (const [j, id] of each.checks.entries()) mustBe([field, i, 'checks', j], id, checkIds)
    }
  }
  for (const [i, each] of exercise.cases.entries()) {
    if (each.calls.length > 0) {
      const path = ['cases', i, 'calls']
      if (exercise.program.ends !== 'return') {
        problems.push(
          documentProblem(path, 'calls', 'calls of a program that ends with HALT', 'program: { ends: return }'),
        )
      }
      if ((each.given?.driver ?? exercise.given?.driver ?? null) !== null) {
        problems.push(documentProblem(path, 'calls', 'calls beside a driver', 'one of them'))
      }
      const count = callsOfCase(each).length
      if (count > 64) problems.push(documentProblem(path, 'calls', `${count} calls`, 'at most 64'))
    }
    if (each.boundaries) {
      const path = ['cases', i, 'boundaries']
      const count = boundariesOf(each.draws).length
      if (count === 0) problems.push(documentProblem(path, 'no-draws', 'no draws', 'a case that draws values'))
      if (count > mostBoundaries) {
        problems.push(documentProblem(path, 'too-many', `${count} runs`, `at most ${mostBoundaries}: fewer draws`))
      }
    }
    const drawn = [
      ...each.draws.map((draw, j) => ({ draw, path: ['cases', i, 'draws', j] })),
      ...each.calls.flatMap(({ draws }, k) =>
        draws.map((draw, j) => ({ draw, path: ['cases', i, 'calls', k, 'draws', j] })),
      ),
    ]
    for (const { draw, path } of drawn) {
      const { register, at, from, to, decimal } = draw
      if ((register === null) === (at === null)) {
        problems.push(documentProblem(path, 'draw-place', 'both or neither of register and at', 'one of them'))
      }
      if (from > to) problems.push(documentProblem(path, 'draw-range', `from ${from} to ${to}`, 'from not above to'))
      if (decimal && to > 99) problems.push(documentProblem([...path, 'to'], 'draw-range', String(to), '0 to 99'))
      if (at !== null && to > 255) problems.push(documentProblem([...path, 'to'], 'draw-range', String(to), 'a byte'))
    }
  }
  problems.push(...constantProblems(exercise))
  return problems
}

function whenProblems({ cases }: Exercise, check: Check, path: Path): readonly DocumentProblem[] {
  if (check.when === null) return []
  const found = whenProblem(check.when)
  if (found !== null) return [documentProblem(path, 'when', found, 'one of time, address, routine, call')]
  if (kindNamed(check.kind)?.isOfMoment === false) {
    return [documentProblem(path, 'when', `a moment for the kind ${check.kind}`, 'kinds that look at the end of a run')]
  }
  const { call } = check.when
  if (call === null) return []
  const tried = cases.filter(({ id }) => check.cases?.includes(id) ?? true)
  const least = call === 'each' ? 1 : call
  return tried.flatMap((each) => {
    const count = callsOfCase(each).length
    if (count >= least) return []
    const allowed = call === 'each' ? 'only cases with calls' : `a number up to ${count}, or cases with more calls`
    return [
      documentProblem([...path, 'call'], 'when', `'${call}' for the case ${each.id} with ${count} calls`, allowed),
    ]
  })
}

function constantProblems(exercise: Exercise): readonly DocumentProblem[] {
  const problems: DocumentProblem[] = []
  const names = exercise.constants.map((each) => each.name)
  for (const [i, { name, from, to, of }] of exercise.constants.entries()) {
    const path = ['constants', i]
    const isRange = from !== null && to !== null
    if (isRange === (of !== null) || (from === null) !== (to === null)) {
      const allowed = 'from and to, or of'
      problems.push(documentProblem(path, 'constant-values', `no values, or two kinds of them, for '${name}'`, allowed))
    }
    if (isRange && from > to) {
      problems.push(documentProblem(path, 'constant-values', `from ${from} to ${to}`, 'from not above to'))
    }
    if (names.some((other, j) => j < i && other.toUpperCase() === name.toUpperCase())) {
      problems.push(documentProblem([...path, 'name'], 'duplicate', `'${name}' a second time`, 'each name once'))
    }
    for (const [j, each] of exercise.cases.entries()) {
      if (!Object.hasOwn(each.expect, name)) continue
      const allowed = 'another name than that of a constant'
      problems.push(documentProblem(['cases', j, 'expect', name], 'duplicate', `'${name}'`, allowed))
    }
  }
  if (names.length === 0) return problems
  for (const [path, text] of textsOf(exercise)) {
    for (const name of namesIn(text)) {
      if (names.includes(name)) continue
      const allowed = names.map((each) => `{${each}}`).join(', ')
      problems.push(documentProblem(path, 'unknown-name', `{${name}}`, allowed, nearestSpelling(name, names)))
    }
  }
  return problems
}

/** The texts in which names of constants may stand in braces. */
function textsOf(exercise: Exercise): readonly (readonly [Path, string])[] {
  return [
    [['brief'], exercise.brief] as const,
    ...exercise.hints.flatMap(({ ask, say }, i) => [
      [['hints', i, 'ask'], ask] as const,
      [['hints', i, 'say'], say] as const,
    ]),
    ...exercise.cards.flatMap(({ text, example }, i) => [
      [['cards', i, 'text'], text] as const,
      [['cards', i, 'example'], example] as const,
    ]),
  ]
}
