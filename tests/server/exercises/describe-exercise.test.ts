import { expect, test } from 'vitest'
import { exerciseFor } from '../../../core/exercise/index.ts'
import { documentFor } from '../../../server/exercises/describe-exercise.ts'
import { readExerciseText } from '../../../server/exercises/document.ts'
import { sumYaml } from '../sample.ts'

test('a student gets those constants that something names which they may see, with their own values', () => {
  const source = sumYaml
    .replace('brief: Add', 'brief: For line {line} add')
    .replace(
      "memory: [{ at: 4600h, bytes: '03' }]",
      "memory: [{ at: 4600h, bytes: '03' }, { at: $place, bytes: '01' }]",
    )
    .replace("bytes: '1C' }]", "bytes: '1C' }, { at: $sealedPlace, bytes: '01' }]")
    .replace(
      'cases:',
      `constants:
  - { name: line, from: 10, to: 99 }
  - { name: place, from: 4610h, to: 461Fh }
  - { name: sealedPlace, from: 4710h, to: 471Fh }
cases:`,
    )
  const read = readExerciseText(source)
  if (!read.isOk) throw new Error(read.faults.map(({ message }) => message).join('\n'))
  const own = exerciseFor(read.exercise, 7)
  expect(documentFor('student', own).constants.map(({ name, of }) => [name, of?.length])).toEqual([
    ['line', 1],
    ['place', 1],
  ])
  expect(documentFor('assistant', own).constants).toHaveLength(3)
})
