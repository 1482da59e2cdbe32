import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../../core/board/index.ts'
import { draftExercise, probe, type Draft, type ExerciseDraft } from '../../../../core/diagnosis/index.ts'
import { namesTime } from '../../../../core/diagnosis/proposal/lengths.ts'
import { readProgram } from '../../../../core/assembler/index.ts'
import { staffReadOptionsFor } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'

const draft = (brief: string, assembly: string, some: Partial<ExerciseDraft> = {}): Draft =>
  draftExercise({ title: 'At the gate', brief, model: { format: 'assembly', text: assembly }, ...some }, benchEight)
const chosen = ({ proposals }: Draft): Readonly<Record<string, Readonly<Record<string, unknown>>>> =>
  Object.fromEntries(proposals.filter(({ isChosen }) => isChosen).map(({ check }) => [String(check['id']), check]))
const score = ({ exercise }: Draft, assembly: string): number => {
  if (exercise === null) throw new Error('it is complete')
  const program = readProgram({ format: 'assembly', text: assembly }, staffReadOptionsFor(exercise, benchEight))
  return gradeProgram(program, exercise, benchEight).score
}

/** Half waves of 26 · DE T: 132 waves at 109 are 300 ms of 441 Hz, 440 at 55 are 503 ms of 874 Hz. */
const tones = (first: number, pause: number, second: number): string =>
  ` LD HL,${first}\n LD DE,109\n CALL BUZZ\n LD BC,${pause}\n CALL WAITMS\n LD HL,${second}\n LD DE,55\n CALL BUZZ\n HALT`

describe('two tones with a pause', () => {
  const told = draft('440 Hz for 300 ms, 200 ms of silence, 880 Hz for 500 ms.', tones(132, 200, 440))
  test('each tone has its length, and so has the silence between them', () => {
    expect(told.problems).toEqual([])
    expect(chosen(told)).toMatchObject({
      tones: { kind: 'tones-in-turn', frequencies: [440, 880] },
      lengths: { kind: 'tones-in-turn', lengths: ['300 ms', '500 ms'], lengthsWithin: '2 %', credit: 'parts' },
      pauses: { kind: 'tones-in-turn', pauses: ['200 ms'], pausesWithin: '5 %' },
    })
    expect(chosen(told)).not.toHaveProperty('starts')
  })
  test('a length that is wrong by a tenth costs marks, a program that begins 5 ms later none', () => {
    for (const wrong of [tones(145, 200, 440), tones(132, 230, 440), tones(132, 200, 484)])
      expect(score(told, wrong)).toBeLessThan(100)
    expect(score(told, ` LD BC,5\n CALL WAITMS\n${tones(132, 200, 440)}`)).toBe(100)
  })
  test('the probe finds hardly a mistake that nobody notices', () => {
    const { exercise } = told
    expect(exercise === null ? 0 : probe(exercise, benchEight, { most: 80 })?.score).toBeGreaterThanOrEqual(95)
  })
})

test('tones of different lengths that are joined are held to them too', () => {
  // Half waves of 2,840 T and of 1,421 T, 264 and 528 of them: 300 ms each; 352 of the second are 200 ms.
  const joined = (rounds: number): string =>
    ` LD DE,109\n LD HL,132\n CALL BUZZ\n LD DE,55\n LD HL,${rounds}\n CALL BUZZ\n HALT`
  const told = draft('A low tone for 300 ms, then a high one for 200 ms.', joined(175))
  expect(chosen(told)).toMatchObject({ lengths: { lengths: ['300 ms', '200 ms'] } })
  expect(chosen(told)).not.toHaveProperty('pauses')
  expect(score(told, joined(160))).toBeLessThan(100)
})

test('a silence before the only tone is checked where the task names it', () => {
  const late = ' LD BC,800\n CALL WAITMS\n LD HL,100\n LD DE,48\n CALL BUZZ\n HALT'
  expect(chosen(draft('After 800 ms a tone of 1000 Hz sounds.', late))).toHaveProperty('starts')
  expect(chosen(draft('A tone of 1000 Hz sounds.', late))).not.toHaveProperty('starts')
})

test('lamps that stand equally long are checked with their time', () => {
  const lamps =
    ' LD A,80h\nNEXT: OUT (24h),A\n LD D,A\n LD BC,250\n CALL WAITMS\n LD A,D\n RRCA\n CP 08h\n JR NZ,NEXT\n HALT'
  expect(chosen(draft('The lamps light one after the other.', lamps))['lamps']).toMatchObject({
    kind: 'lamps',
    patterns: ['*.......', '.*......', '..*.....', '...*....'],
    each: '250 ms',
  })
})

test('a time that a task names', () => {
  expect(namesTime('Wait 1.5 s, then ring.', 1.48)).toBe(true)
  expect(namesTime('Wait half a second.', 0.5)).toBe(true)
  expect(namesTime('Each second one more.', 1)).toBe(true)
  expect(namesTime('Give 440 Hz for 250 ms.', 0.44)).toBe(false)
})
