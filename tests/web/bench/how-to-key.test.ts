import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { Machine } from '../../../core/run/index.ts'
import { keyLetters, keyOf } from '../../../web/bench/model/key-letters.ts'
import { tap } from '../../core/run/fingers.ts'

const { keying } = benchEight.firmware
const names = benchEight.keypad.keys.flat()

describe('what the keys do now', () => {
  /** The title of the state in which the monitor is after these keys. */
  const titleAfter = (...keys: readonly string[]) => {
    const machine = new Machine(benchEight)
    machine.runUntil(500_000)
    tap(machine, ...keys)
    const value = machine.memory[keying?.stateAt ?? 0]
    return keying?.states.find((state) => state.value === value)?.title
  }

  test.each([
    [[], 'Ready for a byte'],
    [['3'], 'Half a byte is keyed, nothing is written yet'],
    [['3', 'E'], 'Ready for a byte'],
    [['AT', '4'], 'Which address?'],
    [['RUN'], 'Run from this address?'],
    [['CHECK'], 'S, W and the place'],
    [['7', '6', 'RUN', 'RUN'], 'A program has the board'],
  ])('after %j it says: %s', (keys, title) => {
    expect(titleAfter(...keys)).toBe(title)
  })

  test('only keys that the board has are named', () => {
    for (const { keys } of keying?.states.flatMap((state) => state.keys) ?? [])
      if (keys !== '0 to F' && keys !== 'all') for (const key of keys.split(' ')) expect(names).toContain(key)
  })
})

test('arrows press the keys of that name, letters the others', () => {
  const letters = keyLetters(names)
  expect(['ArrowLeft', 'ArrowRight', 'ArrowUp', 'a', 'A', 't', 's'].map((typed) => keyOf(letters, typed))).toEqual([
    ...['LEFT', 'RIGHT', undefined, 'A', 'A', 'AT', 'STOP'],
  ])
})
