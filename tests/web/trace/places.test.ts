import { describe, expect, test } from 'vitest'
import { placeRows } from '../../../web/trace/axis/places.ts'
import { RunsBuilder } from '../../../web/trace/model/runs.ts'

/** `lane('program SWEEP', '0:0 10:1', 20)`: the names, then from which T-state the run was in which of them. */
function lane(names: string, notation: string, end: number) {
  const builder = new RunsBuilder()
  for (const pair of notation.split(' ')) {
    const [t, value] = pair.split(':').map(Number)
    builder.append(t ?? 0, value ?? 0)
  }
  return { kind: 'place' as const, id: 'place', title: 'PC', runs: builder.finish(end), names: names.split(' ') }
}

describe('the rows of the lane of places', () => {
  test('stand in the order of the first visit, each with its share of the time', () => {
    const { rows } = placeRows(lane('unvisited SWEEP program', '0:2 10:1 40:2', 100))
    expect(rows).toEqual([
      { name: 'program', share: 0.7 },
      { name: 'SWEEP', share: 0.3 },
    ])
  })

  test('a routine that lies in two places under one name has one row', () => {
    const { rows, rowOf } = placeRows(lane('PAINT program PAINT', '0:1 10:0 13:2 60:1', 100))
    expect(rows.map(({ name }) => name)).toEqual(['program', 'PAINT'])
    expect([...rowOf]).toEqual([1, 0, 1])
  })

  test('of more than ten names the least used share the last row', () => {
    const names = Array.from({ length: 12 }, (_, i) => `P${i}`)
    const visits = names.map((_, i) => `${i * 10}:${i}`).join(' ')
    const { rows, rowOf } = placeRows(lane(names.join(' '), visits, 200))
    expect(rows).toHaveLength(10)
    expect(rows.at(-1)?.name).toBe('3 more')
    expect([...rowOf].filter((row) => row === 9)).toHaveLength(3)
    expect(rows.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1)
  })

  test('no two rows go by one name, so the page can tell them apart', () => {
    const { rows } = placeRows(lane('A B A B A', '0:0 1:1 2:2 3:3 4:4 5:0', 10))
    expect(new Set(rows.map(({ name }) => name)).size).toBe(rows.length)
  })

  test('a pixel says what share of its time was spent in a row', () => {
    const places = lane('program SWEEP', '0:0 15:1', 20)
    expect([...placeRows(places).shares.coverage({ from: 0, to: 20 }, 2)]).toEqual([1, 0.5, 0, 0.5])
  })
})
