import { beforeEach, describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { Bench, type BenchPort } from '../../../web/bench/model/Bench.svelte.ts'
import { handOver, takeOver } from '../../../web/bench/model/hand-over.ts'
import { keyLetters } from '../../../web/bench/model/key-letters.ts'
import type { BenchFrame, BenchReply, BenchRequest } from '../../../web/bench/worker/protocol.ts'
import { displayWords } from '../../../web/machine/display-words.ts'

let asked: BenchRequest[]
let port: BenchPort
let draw: (() => void) | null
let bench: Bench
beforeEach(() => {
  asked = []
  draw = null
  port = { postMessage: (request) => asked.push(request), onmessage: null, terminate: () => {} }
  bench = new Bench(benchEight, port, (callback) => (draw = callback))
})

const kinds = () => asked.map((request) => request.kind)
const tell = (reply: BenchReply) => port.onmessage?.({ data: reply })
const frame = (some: Partial<BenchFrame>) => tell({ kind: 'frame', frame: { switches: 0, ...some } as BenchFrame })

describe('the board on screen', () => {
  test('is switched on and runs its firmware from the start', () => {
    expect(kinds()).toEqual(['power-on', 'stops', 'run'])
  })

  test('draws the newest frame once a screen refresh', () => {
    frame({ t: 1 })
    frame({ t: 2 })
    expect(bench.frame).toBeNull()
    draw?.()
    expect(bench.frame?.t).toBe(2)
  })

  test('hears the speaker in each frame, drawn or not, at true speed only', () => {
    const heard: number[] = []
    bench.onsound = (span) => heard.push(span.to)
    const speaker = (to: number) =>
      ({ from: 0, to, levelBefore: 0, edges: new Float64Array(), frequencyHz: null }) as const
    frame({ isRunning: true, speaker: speaker(10) })
    frame({ isRunning: true, speaker: speaker(20) })
    bench.chooseSpeed(0.1)
    frame({ isRunning: true, speaker: speaker(30) })
    expect(heard).toEqual([10, 20])
  })

  test('switched off it shows nothing, whatever still arrives', () => {
    frame({ t: 1 })
    bench.powerOff()
    frame({ t: 2 })
    draw?.()
    expect([bench.isOn, bench.frame]).toEqual([false, null])
  })

  test('stops are set once and taken away, and outlive the power switch', () => {
    bench.toggleStop(0x4002)
    bench.toggleStop(0x4005)
    bench.toggleStop(0x4002)
    bench.addStop({ kind: 'port-write', port: 0x22 })
    bench.addStop({ kind: 'port-write', port: 0x22 })
    expect(bench.stops).toEqual([
      { kind: 'address', address: 0x4005 },
      { kind: 'port-write', port: 0x22 },
    ])
    expect([...bench.addressStops]).toEqual([0x4005])
    bench.powerOff()
    bench.powerOn()
    expect(asked.at(-2)).toEqual({ kind: 'stops', stops: bench.stops })
  })

  test('moments are numbered as they are kept, and can be forgotten', () => {
    bench.keep()
    bench.keep()
    for (const number of [1, 2]) tell({ kind: 'kept', number, t: number, step: number })
    bench.forget(1)
    expect(bench.kept).toEqual([{ number: 2, t: 2, step: 2 }])
    bench.comeBack(2)
    expect(asked.at(-1)).toEqual({ kind: 'come-back', number: 2 })
  })

  test('a switch is turned where it stands', () => {
    frame({ switches: 0b0100 })
    draw?.()
    bench.turnSwitch(0)
    expect(asked.at(-1)).toEqual({ kind: 'switches', value: 0b0101 })
    bench.turnSwitch(2)
    expect(asked.at(-1)).toEqual({ kind: 'switches', value: 0 })
  })

  test('a program that cannot be read keeps the one before, with its problems beside it', () => {
    bench.load('mine', 'hex', 'C9')
    tell({ kind: 'loaded', listing: [], symbols: {}, entry: 0x4000, bytes: 1, warnings: [] })
    bench.load('other', 'hex', 'C')
    tell({ kind: 'unreadable', problems: [{ message: 'odd' } as never] })
    expect([bench.program?.title, bench.problems.length]).toEqual(['mine', 1])
  })
})

describe('keys of the computer', () => {
  test('figures and A to F stand for themselves, each other key for a letter of its own', () => {
    const letters = keyLetters(benchEight.keypad.keys.flat())
    expect(letters.get('a')).toBe('A')
    expect(new Set(letters.values()).size).toBe(24)
    for (const [letter, name] of letters) expect(name.toLowerCase()).toContain(letter)
  })
})

describe('a program handed over', () => {
  const store = () => {
    const kept = new Map<string, string>()
    return {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, text: string) => void kept.set(key, text),
      removeItem: (key: string) => void kept.delete(key),
    }
  }

  test('arrives as it was', () => {
    const tab = store()
    handOver({ title: 'A1', format: 'hex', text: 'C9' }, tab)
    expect(takeOver(tab)).toEqual({ title: 'A1', format: 'hex', text: 'C9' })
  })

  test.each(['', '{', '{"title":"x"}', '{"title":"x","format":"exe","text":""}', 'null'])(
    '%s is no program',
    (text) => {
      const tab = store()
      tab.setItem('hexcairn-bench', text)
      expect(takeOver(tab)).toBeNull()
    },
  )
})

describe('the display in words', () => {
  const digits = (text: string, states: string) =>
    [...text].map((glyph, i) => ({
      ...{ segments: glyph === ' ' ? 0 : 1, glyph },
      state: glyph === ' ' ? ('dark' as const) : states[i] === 'f' ? ('flickers' as const) : ('steady' as const),
    }))

  test.each([
    ['    ', 'ssss', 'dark'],
    ['12 4', 'ssss', '12 4, steady'],
    ['12 4', 'ffff', '12 4, all flicker'],
    ['1234', 'sfss', '1234, digit 2 flickers'],
    ['1234', 'sfff', '1234, digits 2, 3 and 4 flicker'],
  ])('%s %s is said as: %s', (text, states, words) => {
    expect(displayWords(digits(text, states))).toBe(words)
  })
})
