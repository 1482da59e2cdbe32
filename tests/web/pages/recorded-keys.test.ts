import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { readSession, writeSession } from '../../../core/exports/index.ts'
import { recordedIn, sessionToRecord } from '../../../web/pages/exercise-editor/recorded-keys.ts'

const { clockHz } = benchEight
const taped = (inputs: readonly (readonly [ms: number, key: string, isDown: boolean])[], until: number): string =>
  writeSession({
    ...{ title: '', board: 'bench-8', program: { format: 'assembly', text: ' HALT' }, start: null, exercise: null },
    tape: {
      fill: { byte: 0 },
      until: until * 2500,
      inputs: [
        { t: 0, input: { kind: 'switches', value: 0x81 } },
        ...inputs.map(([ms, key, isDown]) => ({ t: ms * 2500, input: { kind: 'key', key, isDown } as const })),
      ],
    },
    ...{ notes: [], position: { step: 0, from: 0, to: 1 } },
  })

describe('keys pressed on the drawn board', () => {
  test('are presses with their times, overlapping ones too', () => {
    const presses = [
      [800, '3', true],
      [850, 'STOP', true],
      [920, '3', false],
      [1000, 'STOP', false],
    ] as const
    expect(recordedIn(taped(presses, 1200), clockHz)).toEqual({
      keys: [
        { key: '3', at: '800 ms', for: '120 ms', bounce: '' },
        { key: 'STOP', at: '850 ms', for: '150 ms', bounce: '' },
      ],
      switches: 0x81,
      moves: [],
    })
  })
  test('one that is still down is let go at the end', () => {
    expect(recordedIn(taped([[100, 'A', true]], 400), clockHz).keys).toMatchObject([{ at: '100 ms', for: '300 ms' }])
  })
})

test('switches moved on the drawn board are moves with their times; before the start they stand so from the start', () => {
  const text = writeSession({
    ...{ title: '', board: 'bench-8', program: { format: 'assembly', text: ' HALT' }, start: null, exercise: null },
    tape: {
      ...{ fill: { byte: 0 }, until: 5_000_000 },
      inputs: [
        { t: 0, input: { kind: 'switches', value: 1 } },
        { t: 0, input: { kind: 'switches', value: 3 } },
        { t: 1_250_000, input: { kind: 'switches', value: 2 } },
        { t: 2_500_001, input: { kind: 'switches', value: 0 } },
      ],
    },
    ...{ notes: [], position: { step: 0, from: 0, to: 1 } },
  })
  expect(recordedIn(text, clockHz)).toEqual({
    ...{ keys: [], switches: 3 },
    moves: [
      { at: '500 ms', to: 2 },
      { at: '1000 ms', to: 0 },
    ],
  })
})

test('the board begins with the memory, switches and timer of the run', () => {
  const text = sessionToRecord(benchEight, ' HALT', {
    memory: [{ at: '4600h', bytes: '0A FF' }],
    ...{ switches: 5, isTimerOn: true },
  })
  const reading = readSession(text)
  expect('session' in reading && reading.session.start).toMatchObject({
    memory: [{ at: 0x4600, bytes: [0x0a, 0xff] }],
    ...{ switches: 5, isTimerOn: true },
  })
})
