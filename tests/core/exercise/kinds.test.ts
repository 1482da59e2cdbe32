import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { parse } from 'yaml'
import { benchEight } from '../../../core/board/index.ts'
import {
  boardMisfits,
  checkKinds,
  exampleDocument,
  exerciseReference,
  parseExercise,
} from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'

const here = join(import.meta.dirname, 'checks')
const tests = readdirSync(here).map((file) => readFileSync(join(here, file), 'utf8'))

describe.each(checkKinds.map((kind) => [kind.name, kind] as const))('%s', (name, kind) => {
  test('is tried at its limits somewhere in this folder', () => {
    expect(tests.some((text) => text.includes(`'${name}'`))).toBe(true)
  })
  test('has an example that is read and fits Bench-8', () => {
    const own = parse(kind.example.join('\n')) as object | null
    const parsed = parseExercise({
      ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
      ...{ cases: [{ id: 'one' }], groups: [{ id: 'function', title: 'All', marks: 100 }] },
      checks: [{ id: 'an-id', kind: name, title: 'It', group: 'function', ...own }],
    })
    expect(parsed.problems).toEqual([])
    if (parsed.isOk) expect(boardMisfits(parsed.exercise, benchEight)).toEqual([])
    expect(exerciseReference()).toContain(kind.example.map((line) => `  ${line}\n`).join(''))
  })
  test('says what it is about in words of its own', () => {
    expect(kind.schema.about).toMatch(/^[A-Z].*\.$/)
    expect(kind.category).toMatch(/^[a-z]/)
    expect(checkKinds.filter((each) => each.category === kind.category)).toEqual([kind])
  })
})

test('the small exercise of the reference page is one, and its model answer gets full marks', () => {
  const parsed = parseExercise(parse(exampleDocument))
  expect(parsed.problems).toEqual([])
  if (!parsed.isOk) return
  expect(boardMisfits(parsed.exercise, benchEight)).toEqual([])
  for (const seed of [0, 1, 2]) {
    const { model } = parsed.exercise
    const source = model ?? { format: 'assembly' as const, text: '' }
    expect(grade(source, parsed.exercise, benchEight, { seed, isStaffAnswer: true })).toMatchObject({ score: 100 })
    const neighbour = grade({ format: 'hex', text: '4000: 3A 00 46 C6 05 32 01 46 76' }, parsed.exercise, benchEight, {
      seed,
    })
    expect(neighbour.score).toBeLessThan(100)
  }
})
