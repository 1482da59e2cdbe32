import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../../core/board/index.ts'
import { draftExercise, type Draft, type ExerciseDraft } from '../../../../core/diagnosis/index.ts'

/** So many times 256 edges of the speaker. */
const edges = (rounds: number): string =>
  ` LD DE,${rounds}\n XOR A\nAGAIN: LD B,0\nLOOP: OUT (22h),A\n XOR 1\n DJNZ LOOP\n LD C,A\n DEC DE\n LD A,D\n OR E\n LD A,C\n JR NZ,AGAIN\n XOR A\n OUT (22h),A\n HALT`
const draft = (rounds: number, fields: ExerciseDraft['fields'] = {}): Draft =>
  draftExercise(
    { title: 'Buzz', brief: 'A long buzz.', model: { format: 'assembly', text: edges(rounds) }, fields },
    benchEight,
  )

describe('a model answer that makes many events', { timeout: 60_000 }, () => {
  test('gets an exercise that allows a quarter more', () => {
    // 700 * 256 writes, each an edge that counts for four: about 896,000.
    const told = draft(700)
    expect(told.problems).toEqual([])
    expect(told.document['events']).toBe(1_200_000)
    expect(told.remarks.join(' ')).toContain('the exercise allows 1,200,000 events in each run')
  })
  test('gets the usual limit where there is room under it, and the author’s where there is one', () => {
    expect(draft(300).document['events']).toBeUndefined()
    expect(draft(700, { events: 950_000 }).document['events']).toBe(950_000)
  })
})
