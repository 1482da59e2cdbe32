import { expect, test } from 'vitest'
import { readProgram, type Program } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { exerciseFor, modelProgram, readOptionsFor } from '../../../core/exercise/index.ts'
import { Race } from '../../../core/trial/race.ts'
import { Trial } from '../../../core/trial/trial.ts'
import { exerciseOf } from '../exercise/tram-depot.ts'
import { handedIn, otherAnswers } from '../exercise/other-answers.ts'

/** A right answer unlike the model's, and the same with one line of it otherwise. */
function rightAndWrong(folder: string, file: string, line: RegExp, instead: string) {
  const exercise = exerciseFor(exerciseOf(folder), 0)
  const options = readOptionsFor(exercise, benchEight)
  const answer = otherAnswers(folder).find((each) => each.file === file)
  const model = modelProgram(exercise, benchEight)
  if (answer === undefined || model === null) throw new Error(`${folder} has no ${file}`)
  const { text } = handedIn(answer, exercise, 0)
  const read = (source: string): Program => readProgram({ format: 'assembly', text: source }, options)
  const [right, wrong] = [read(text), read(text.replace(line, instead))]
  expect(wrong.image).not.toEqual(right.image)
  const trial = new Trial(exercise, benchEight, right, 0)
  return { trial, right, wrong, race: Race.of(trial, trial.stages, wrong.image, model.image) }
}

test('ten seconds of display are told right or wrong in the first sweeps', () => {
  const { trial, right, wrong, race } = rightAndWrong(
    'D2',
    'right-sweeps-after-ticks.asm',
    /JR NZ,REST\b/,
    'JR NZ,REST+2',
  )
  expect(race?.isAhead(right.image)).toBe(true)
  expect(race?.isAhead(wrong.image)).toBe(false)
  const [stage] = trial.stages
  if (stage === undefined || race === null) throw new Error('D2 has a case')
  const usual = stage.model?.tStates ?? 0
  expect(race.window).toBeLessThan(usual / 100)
})

test('tones of a second are told in the first of them', () => {
  const { right, wrong, race } = rightAndWrong('D3', 'right-waves-in-second-set.asm', /LD E,A/, 'LD B,A')
  expect(race?.isAhead(right.image)).toBe(true)
  expect(race?.isAhead(wrong.image)).toBe(false)
})

test('an edit of what has not been executed by then is not looked at', () => {
  const { right, wrong, race } = rightAndWrong('D3', 'right-waves-in-second-set.asm', /LD E,A/, 'LD B,A')
  const end = right.image.segments.flatMap(({ start, bytes }) => [start + bytes.length - 1]).at(-1) ?? 0
  expect(race?.isReached(wrong.entry)).toBe(true)
  expect(race?.isReached(end)).toBe(false)
})

test('there is none where runs are short', () => {
  const { race } = rightAndWrong(
    'A4',
    otherAnswers('A4').find(({ file }) => file.startsWith('right'))?.file ?? '',
    /ADD A,/i,
    'SUB ',
  )
  expect(race).toBeNull()
})
