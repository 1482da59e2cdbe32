import { describe, expect, test } from 'vitest'
import { benchEight, EventLog, type BoardEvent } from '../../../core/board/index.ts'
import { Keypad } from '../../../core/board/keypad.ts'
import { sixLamps } from './six-lamps.ts'

/** The rows read with all columns selected, at each T-state given. */
function rowsAt(keypad: Keypad, times: readonly number[], selected = 0xff): number[] {
  return times.map((t) => {
    keypad.catchUp(t, null)
    return keypad.rows(selected)
  })
}

describe('keys over time', () => {
  test('a key is down from the first T-state to the last, which is excluded', () => {
    const keypad = new Keypad(benchEight)
    keypad.schedule([{ key: 'AT', from: 100, to: 200 }])
    expect(rowsAt(keypad, [99, 100, 199, 200])).toEqual([0, 4, 4, 0])
  })

  test('only the columns selected are read, several together', () => {
    const keypad = new Keypad(benchEight)
    keypad.schedule([
      { key: '1', from: 0, to: 9 },
      { key: 'A', from: 0, to: 9 },
    ])
    keypad.catchUp(5, null)
    expect([0x01, 0x02, 0x04, 0x06].map((selected) => keypad.rows(selected))).toEqual([0, 1, 2, 3])
    expect(keypad.down()).toEqual(['1', 'A'])
  })

  test('presses and releases go to the log, bounces do not', () => {
    const log = new EventLog()
    const keypad = new Keypad(benchEight)
    keypad.schedule([{ key: '7', from: 1000, to: 90_000, bounceTStates: 12_500 }])
    keypad.catchUp(200_000, log)
    const wanted: BoardEvent[] = [
      { kind: 'key', t: 1000, key: '7', isDown: true },
      { kind: 'key', t: 90_000, key: '7', isDown: false },
    ]
    expect(log.toArray()).toEqual(wanted)
  })

  test('a bouncing contact makes and breaks for that long at both ends, and is at rest between and after', () => {
    for (const bounceTStates of [10, 1000, 12_500, 12_501]) {
      const keypad = new Keypad(benchEight)
      keypad.schedule([{ key: '0', from: 1000, to: 101_000, bounceTStates }])
      const levels = rowsAt(
        keypad,
        Array.from({ length: 140_000 }, (_, t) => t),
      )
      const changes = levels.flatMap((level, t) => (t > 0 && level !== levels[t - 1] ? [t] : []))
      const [press, release] = [changes.filter((t) => t < 50_000), changes.filter((t) => t >= 50_000)]
      for (const [at, list] of [
        [1000, press],
        [101_000, release],
      ] as const) {
        expect(list[0]).toBe(at)
        expect(list.length % 2).toBe(1)
        expect(list.length).toBeGreaterThan(1)
        expect(Math.max(...list)).toBeLessThanOrEqual(at + bounceTStates)
      }
      expect([levels[999], levels[1000 + bounceTStates], levels[101_000 + bounceTStates]]).toEqual([0, 1, 0])
    }
  })

  test('presses bounce differently from each other and the same each time', () => {
    const changes = () => {
      const keypad = new Keypad(benchEight)
      keypad.schedule(
        [0, 1, 2].map((k) => ({ key: '0', from: k * 100_000, to: k * 100_000 + 50_000, bounceTStates: 12_500 })),
      )
      const levels = rowsAt(
        keypad,
        Array.from({ length: 300_000 }, (_, t) => t),
      )
      return [0, 1, 2].map((k) => levels.slice(k * 100_000, k * 100_000 + 12_500).join(''))
    }
    expect(changes()).toEqual(changes())
    expect(new Set(changes()).size).toBe(3)
  })

  test('a key that the board has not does nothing', () => {
    const keypad = new Keypad(benchEight)
    keypad.schedule([{ key: 'G', from: 0, to: 9 }])
    keypad.set('', true, 0)
    expect(rowsAt(keypad, [5])).toEqual([0])
  })

  test('saved and put back, the contacts go on alike', () => {
    const keypad = new Keypad(benchEight)
    keypad.schedule([{ key: '3', from: 100, to: 50_000, bounceTStates: 5000 }])
    keypad.catchUp(1000, null)
    const state = keypad.save()
    const times = Array.from({ length: 600 }, (_, k) => 1000 + 100 * k)
    const first = rowsAt(keypad, times)
    keypad.restore(state)
    expect(rowsAt(keypad, times)).toEqual(first)
  })

  test('an active-low board reads a key as 0 and all else as 1', () => {
    const keypad = new Keypad(sixLamps)
    keypad.set('B', true, 0)
    expect(rowsAt(keypad, [0])).toEqual([0xfd])
  })
})
