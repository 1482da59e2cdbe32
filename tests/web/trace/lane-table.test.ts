import { describe, expect, test } from 'vitest'
import { laneTable } from '../../../web/trace/model/lane-table.ts'
import type { Lane } from '../../../web/trace/model/lane.ts'
import { RunsBuilder } from '../../../web/trace/model/runs.ts'

function runs(pairs: readonly (readonly [t: number, value: number])[], end: number) {
  const builder = new RunsBuilder()
  for (const [t, value] of pairs) builder.append(t, value)
  return builder.finish(end)
}

const whole = { from: 0, to: 1000 }
const words = (lane: Lane, span = whole, most = 50) =>
  laneTable(lane, span, most).rows.map((row) => `${row.from}-${row.to} ${row.words}`)

describe('a lane as text', () => {
  test('a digit says its glyph, its segments and how the eye sees it', () => {
    const looks = [
      { segments: 0, glyph: ' ', state: 'dark' as const },
      { segments: 0x07, glyph: '7', state: 'steady' as const },
      { segments: 0x15, glyph: '?', state: 'flickers' as const },
    ]
    const data = runs(
      [
        [0, 0],
        [100, 1],
        [400, 2],
      ],
      1000,
    )
    expect(words({ kind: 'digit', id: 'digit-0', title: 'Digit 1', runs: data, looks })).toEqual([
      '0-100 dark',
      '100-400 7, segments a b c, steady',
      '400-1000 a pattern without a name, segments a c e, flickers',
    ])
  })

  test('a speaker says frequency, edges, duty and jitter of each sound, and the silence between', () => {
    const sound = { from: 200, to: 700, edges: 500, frequencyHz: 996.8, duty: 0.5, jitterTStates: 3 }
    const lane: Lane = { kind: 'speaker', id: 'speaker', title: 'Speaker', runs: runs([[0, 0]], 1000), sounds: [sound] }
    expect(words(lane)).toEqual([
      '0-200 silent',
      '200-700 996.8 Hz, 500 edges, high 50 % of the time, half periods differ by up to 3 T',
      '700-1000 silent',
    ])
    expect(words(lane, { from: 300, to: 400 })).toHaveLength(1)
  })

  test('marks say what happened at their T-state, within the window only', () => {
    const lane: Lane = {
      kind: 'marks',
      id: 'interrupts',
      title: 'Interrupts',
      times: Float64Array.from([100, 500, 900]),
      words: ['taken', 'lost', 'taken'],
    }
    expect(words(lane, { from: 100, to: 900 })).toEqual(['100-100 taken', '500-500 lost'])
  })

  test('depth is counted in bytes, and above the start is said', () => {
    const data = runs(
      [
        [0, 0],
        [10, 2],
        [20, -2],
      ],
      30,
    )
    expect(words({ kind: 'depth', id: 'depth', title: 'Stack', runs: data, deepest: 2 })).toEqual([
      '0-10 0 bytes in use',
      '10-20 2 bytes in use',
      '20-30 2 bytes above where it began',
    ])
  })

  test('rows beyond the limit are counted, not dropped in silence', () => {
    const data = runs(
      Array.from({ length: 100 }, (_, i) => [i * 10, i % 2] as const),
      1000,
    )
    const table = laneTable({ kind: 'keys', id: 'keys', title: 'Keys', runs: data, names: ['', 'A'] }, whole, 10)
    expect([table.rows.length, table.left]).toEqual([10, 90])
    expect(table.rows[1]?.words).toBe('A down')
  })
})

test('switches are said by their numbers', () => {
  const runs = new RunsBuilder()
  runs.append(0, 1)
  runs.append(10, 0x81)
  const lane = { kind: 'bits', id: 'switches', title: 'Switches', runs: runs.finish(20), noun: 'switch' } as const
  const names = ['0', '1', '2', '3', '4', '5', '6', '7']
  expect(
    laneTable({ ...lane, names }, { from: 0, to: 20 }, 10).rows.map(({ from, words }) => `${from} ${words}`),
  ).toEqual(['0 switch 0 on', '10 switches 0 and 7 on'])
})
