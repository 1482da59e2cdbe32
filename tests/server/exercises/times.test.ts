import { describe, expect, test } from 'vitest'
import { disorderOf, stateAt, timesWith } from '../../../server/exercises/times.ts'

const at = (hour: number): Date => new Date(Date.UTC(2026, 10, 25, hour))
const times = { isPublished: true, opensAt: at(8), dueAt: at(12), closesAt: at(14) }

describe('the state of an exercise', () => {
  test.each([
    [7, 'scheduled'],
    [8, 'open'],
    [11, 'open'],
    [12, 'late-window'],
    [13, 'late-window'],
    [14, 'closed'],
    [20, 'closed'],
  ])('at %i o’clock it is %s', (hour, state) => {
    expect(stateAt(times, at(hour))).toBe(state)
  })

  test('one that is not published is a draft at any time', () => {
    expect(stateAt({ ...times, isPublished: false }, at(9))).toBe('draft')
  })

  test('without a late window it closes when it is due', () => {
    expect(stateAt({ ...times, closesAt: null }, at(12))).toBe('closed')
  })

  test('without times it is open', () => {
    expect(stateAt({ isPublished: true, opensAt: null, dueAt: null, closesAt: null }, at(0))).toBe('open')
  })

  test('with an end and no due time it is open until its end', () => {
    const ending = { isPublished: true, opensAt: null, dueAt: null, closesAt: at(9) }
    expect([stateAt(ending, at(8)), stateAt(ending, at(9))]).toEqual(['open', 'closed'])
  })
})

describe('more time for one student', () => {
  test('moves due time and end', () => {
    expect(timesWith(times, { dueAt: at(15), closesAt: at(16) })).toEqual({ ...times, dueAt: at(15), closesAt: at(16) })
    expect(timesWith(times, { dueAt: at(15), closesAt: null })).toEqual({ ...times, dueAt: at(15), closesAt: null })
  })

  test('never takes away what everybody has, also when the exercise is given more time later', () => {
    const more = { dueAt: at(13), closesAt: null }
    expect(timesWith(times, more)).toEqual({ ...times, dueAt: at(13) })
    expect(timesWith({ ...times, dueAt: at(18), closesAt: null }, more)).toMatchObject({
      dueAt: at(18),
      closesAt: null,
    })
  })

  test('moves the end of an exercise that is never due, and nothing of one without an end', () => {
    const more = { dueAt: at(15), closesAt: null }
    const ending = { ...times, dueAt: null, closesAt: at(12) }
    expect(timesWith(ending, more)).toEqual({ ...ending, closesAt: at(15) })
    const endless = { ...times, dueAt: null, closesAt: null }
    expect(timesWith(endless, more)).toEqual(endless)
  })
})

describe('the order of times', () => {
  test('opening, due time and end in order are taken', () => {
    expect(disorderOf(times)).toBeNull()
    expect(disorderOf({ opensAt: null, dueAt: at(9), closesAt: at(9) })).toBeNull()
  })

  test.each([
    [{ opensAt: at(12), dueAt: at(12), closesAt: null }, /opens at or after its due time/],
    [{ opensAt: null, dueAt: at(12), closesAt: at(11) }, /ends before it is due/],
    [{ opensAt: at(9), dueAt: null, closesAt: at(8) }, /opens at or after its end/],
  ])('%j is refused', (wrong, message) => {
    expect(disorderOf(wrong)).toMatch(message)
  })
})
