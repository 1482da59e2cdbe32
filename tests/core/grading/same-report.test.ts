import { expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, type Exercise } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { documentOf, exerciseOf, filesOf, programOf } from '../exercise/tram-depot.ts'

/** The exercise read anew, with nothing kept from earlier grades. */
function readAnew(folder: string): Exercise {
  const parsed = parseExercise(documentOf(folder), filesOf(folder))
  if (!parsed.isOk) throw new Error('not read')
  return parsed.exercise
}

test('a thousand grades of one hand-in give one report, byte for byte, whatever is graded in between', () => {
  const source = programOf('A1', 'model.hex')
  const others = [programOf('A4', 'model.asm'), programOf('A4', 'wrong-xor-clears-carry.asm')]
  const other = exerciseOf('A4')
  let exercise = exerciseOf('A1')
  const reports = new Set<string>()
  for (let i = 0; i < 1000; i++) {
    if (i % 100 === 99) exercise = readAnew('A1')
    if (i % 50 === 49) grade(others[i % 2] ?? source, other, benchEight, { seed: i })
    reports.add(JSON.stringify(grade(source, exercise, benchEight, { seed: 7 })))
  }
  expect(reports.size).toBe(1)
})

test('so do grades of a hand-in that fails on drawn cases', () => {
  const source = programOf('A4', 'wrong-sheet-only.asm')
  const reports = new Set<string>()
  for (let i = 0; i < 24; i++) {
    const exercise = i % 6 === 5 ? readAnew('A4') : exerciseOf('A4')
    reports.add(JSON.stringify(grade(source, exercise, benchEight, { seed: 20_261_125 })))
  }
  expect(reports.size).toBe(1)
})
