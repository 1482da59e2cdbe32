import { describe, expect, test } from 'vitest'
import type { Registers } from '../../../core/cpu/index.ts'
import { outcomeWords, Prediction } from '../../../web/bench/model/Prediction.svelte.ts'
import { StopForm } from '../../../web/bench/model/StopForm.svelte.ts'
import { isHidden } from '../../../web/machine/hidden.ts'

const registers = (some: Partial<Registers>) => some as Registers

describe('predict, then look', () => {
  test('hides nothing until it is switched on', () => {
    const prediction = new Prediction()
    expect(prediction.hidden).toBeNull()
    prediction.turn()
    expect(prediction.hidden).toBe('A')
  })

  test('counts what was right, and says what was', () => {
    const prediction = new Prediction()
    prediction.turn()
    prediction.text = '0B'
    expect(prediction.commit()).toBe(true)
    prediction.look(registers({ af: 0x0b44 }))
    expect(prediction.outcome).toEqual({ name: 'A', said: 0x0b, was: 0x0b, isRight: true })
    prediction.name = 'HL'
    prediction.text = '4601'
    prediction.commit()
    prediction.look(registers({ hl: 0x4600 }))
    expect(prediction.score).toEqual({ right: 1, asked: 2 })
    expect(prediction.outcome && outcomeWords(prediction.outcome)).toBe('HL is 4600h; you said 4601h.')
  })

  test('a step that nobody predicted counts for nothing', () => {
    const prediction = new Prediction()
    prediction.turn()
    prediction.look(registers({ af: 0 }))
    expect(prediction.score.asked).toBe(0)
  })

  test.each([
    ['A', '100'],
    ['A', ''],
    ['A', 'x'],
    ['HL', '12345'],
  ] as const)('%s cannot be “%s”', (name, text) => {
    const prediction = new Prediction()
    prediction.turn()
    prediction.name = name
    prediction.text = text
    expect(prediction.commit()).toBe(false)
  })
})

describe('what would give a hidden register away', () => {
  test.each([
    ['A', 'A', true],
    ['H', 'HL', true],
    ['HL', 'H', true],
    ['L', 'H', false],
    ['SP', 'IX', false],
    ['A', null, false],
  ] as const)('%s while %s is hidden: %s', (name, hidden, expected) => {
    expect(isHidden(name, hidden)).toBe(expected)
  })
})

describe('a stop being filled in', () => {
  const stop = (some: Partial<StopForm>) => Object.assign(new StopForm(), some).stopFor({ LOOP: 0x4004 }, 2_500_000)

  test.each([
    [
      { kind: 'address', text: 'loop' },
      { kind: 'address', address: 0x4004 },
    ],
    [
      { kind: 'memory-write', text: '4600' },
      { kind: 'memory-write', address: 0x4600 },
    ],
    [
      { kind: 'port-write', text: '' },
      { kind: 'port-write', port: null },
    ],
    [
      { kind: 'port-read', text: '23' },
      { kind: 'port-read', port: 0x23 },
    ],
    [
      { kind: 'time', text: '0,5' },
      { kind: 'time', t: 1250 },
    ],
    [
      { kind: 'register', register: 'HL', is: '>', text: '46FF' },
      { kind: 'register', register: 'hl', is: '>', value: 0x46ff },
    ],
  ] as const)('%j is %j', (some, expected) => {
    expect(stop(some)).toEqual(expected)
  })

  test.each([
    { kind: 'address', text: '' },
    { kind: 'port-write', text: '123' },
    { kind: 'time', text: '' },
    { kind: 'time', text: '-1' },
    { kind: 'register', register: 'A', text: '100' },
  ] as const)('%j is none', (some) => {
    expect(stop(some)).toBeNull()
  })
})
