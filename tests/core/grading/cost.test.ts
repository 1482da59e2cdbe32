import { expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { Random } from '../../../core/run/index.ts'
import { exerciseOf } from '../exercise/tram-depot.ts'
import { climb, costOf, textOf, type Cost } from './costly-programs.ts'

/** In units of `countWork`: of the runs that the exercise asks for, of looking for luck, and of the search for causes. */
const most = { grade: 260e6, search: 130e6, reportBytes: 100_000 }

/** `TEST_SEED=… npx vitest run …` tries others; tests/benchmarks/cost.ts tries many, on every exercise. */
const seed = Number(process.env['TEST_SEED'] ?? 20261130)

test.each([
  ['A2', 4],
  ['C1', 2],
] as const)('no loop that a search comes upon costs a grader of %s more than is allowed', (id, rounds) => {
  const exercise = exerciseOf(id)
  const worst = { grade: 0, search: 0, reportBytes: 0 }
  const { loop } = climb(new Random(seed), rounds, (each) => {
    const cost: Cost = costOf(textOf(each), exercise, benchEight)
    worst.grade = Math.max(worst.grade, cost.grade)
    worst.search = Math.max(worst.search, cost.search)
    worst.reportBytes = Math.max(worst.reportBytes, cost.reportBytes)
    return cost.grade + cost.search
  })
  expect(worst.grade, `seed ${seed}: ${textOf(loop)}`).toBeLessThan(most.grade)
  expect(worst.search, `seed ${seed}: ${textOf(loop)}`).toBeLessThan(most.search)
  expect(worst.reportBytes).toBeLessThan(most.reportBytes)
})
