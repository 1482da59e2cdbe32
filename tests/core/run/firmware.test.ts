import { describe, expect, test } from 'vitest'
import { benchEight, measureDisplay, measureSpeaker, segmentsOf, type Routine } from '../../../core/board/index.ts'
import { Random, registersAtStart, run, type RunRequest } from '../../../core/run/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import { request, seed } from './programs.ts'

/** A run of one routine, as a program would call it: `CALL name`, then RET. */
function call(name: string, registers: Partial<Registers> = {}, given: Partial<RunRequest['given']> = {}) {
  const asked = request(`CALL ${name} | RET`, {
    ends: 'return',
    budget: 40_000_000,
    given: { fill: { seed: 4 }, registers, ...given },
  })
  return { result: run(asked), before: registersAtStart(asked) }
}

const callAndRet = 10

describe('PAINT', () => {
  const { result } = call(
    'PAINT',
    {},
    { memory: [{ at: 0x4700, bytes: [...'01234567'].map((glyph) => segmentsOf(glyph) ?? 0) }] },
  )

  test('takes 8 ms to the T-state, from CALL to the instruction after it', () => {
    expect(result.tStates).toBe(20_000 + callAndRet)
  })

  test('shows the eight bytes of the buffer from left to right, all as bright, without ghosts, and ends dark', () => {
    const { digits, brightnessSpread } = measureDisplay(result.events, benchEight, 0, 20_000)
    expect(digits.map(({ sweeps, ghost }) => [sweeps, ghost])).toEqual(Array(8).fill([1, 0]))
    expect(brightnessSpread).toBeLessThan(0.005)
    const writes = result.events.filter(({ kind }) => kind === 'port-write')
    const shown = writes.flatMap((event) =>
      event.kind === 'port-write' && event.port === 0x20 && event.value > 0 ? [event.value] : [],
    )
    expect(shown).toEqual([...'01234567'].map(segmentsOf))
    expect(writes.at(-1)).toMatchObject({ port: 0x20, value: 0 })
  })

  test('the segments are dark whenever another digit is selected', () => {
    let segments = 0
    for (const event of result.events) {
      if (event.kind !== 'port-write') continue
      if (event.port === 0x20) segments = event.value
      if (event.port === 0x21) expect(segments).toBe(0)
    }
  })

  test('called again and again it sweeps 125 times a second less the call', () => {
    const again = run(request('LOOP: CALL PAINT | JR LOOP', { given: { fill: { byte: 0xff } } }))
    expect(measureDisplay(again.events, benchEight, 0, again.tStates).refreshHz).toBeCloseTo(2_500_000 / 20_012, 6)
  })
})

describe('WAITMS', () => {
  test.each([1, 2, 3, 255, 256, 257, 500, 1000])('%i ms take 2,500 T each', (bc) => {
    expect(call('WAITMS', { bc }).result.tStates).toBe(2500 * bc + callAndRet)
  })

  test('0 ms return at once', () => {
    expect(call('WAITMS', { bc: 0 }).result.tStates).toBe(17 + 10 + 4 + 4 + 11 + callAndRet)
  })
})

describe('BUZZ', () => {
  test.each([
    [1, 4],
    [250, 48],
    [3, 1000],
  ])('%i waves of 2 · 26 · %i T', (hl, de) => {
    const { result } = call('BUZZ', { hl, de })
    const measured = measureSpeaker(result.events, benchEight)
    expect(measured).toMatchObject({ edges: 2 * hl, durationTStates: (2 * hl - 1) * 26 * de, jitterTStates: 0 })
    expect(measured.frequencyHz).toBeCloseTo(2_500_000 / (52 * de), 6)
    expect(result.events.at(-1)).toMatchObject({ kind: 'speaker-edge', level: 0 })
  })

  test('no wave is no sound', () => {
    expect(call('BUZZ', { hl: 0 }).result.events.length).toBe(0)
  })
})

describe('GLYPH', () => {
  test('knows all sixteen figures and does not mind the high half of A', () => {
    for (let figure = 0; figure < 16; figure++) {
      const { result } = call('GLYPH', { af: (0xa0 | figure) << 8 })
      expect(result.registers.af >> 8).toBe(segmentsOf(figure.toString(16)))
    }
  })
})

describe('GETKEY', () => {
  const names = benchEight.keypad.keys.flatMap((column, c) => column.map((key, row) => [key, 8 * row + c] as const))

  test.each(names)('%s is number %i, bouncing or not', (key, number) => {
    for (const bounceTStates of [0, 12_500]) {
      const { result } = call('GETKEY', {}, { keys: [{ key, from: 123_456, to: 300_000, bounceTStates }] })
      expect([result.end.kind, result.registers.af >> 8]).toEqual(['returned', number])
      expect(result.tStates).toBeGreaterThan(123_456)
      // Two sweeps and the bounce.
      expect(result.tStates).toBeLessThan(123_456 + 12_500 + 3 * 21_000)
    }
  })

  test('a key that is down already has to come up first', () => {
    const keys = [
      { key: '5', from: 0, to: 500_000 },
      { key: '6', from: 700_000, to: 900_000 },
    ]
    expect(call('GETKEY', {}, { keys }).result.registers.af >> 8).toBe(6)
  })

  test('the display is swept meanwhile', () => {
    const { result } = call(
      'GETKEY',
      {},
      { fill: { byte: 0xff }, keys: [{ key: '0', from: 2_000_000, to: 2_200_000 }] },
    )
    const measured = measureDisplay(result.events, benchEight, 0, 2_000_000)
    expect(measured.refreshHz).toBeGreaterThan(100)
    expect(measured.brightnessSpread).toBeLessThan(0.02)
  })

  test('twenty presses with bounce at random times are twenty keys', () => {
    const random = new Random(seed)
    let t = 0
    const keys = Array.from({ length: 20 }, (_, k) => {
      const from = t + 150_000 + random.under(50_000)
      t = from + 150_000 + random.under(50_000)
      return { key: 'ABCDEF01'[k % 8] ?? '0', from, to: t, bounceTStates: 12_500 }
    })
    const text = 'LD DE,4600H | LD B,20 | LOOP: PUSH BC | CALL GETKEY | POP BC | LD (DE),A | INC DE | DJNZ LOOP | HALT'
    const { memory, end } = run(request(text, { budget: 40_000_000, given: { keys, fill: { seed } } }))
    expect([end.kind, ...memory.slice(0x4600, 0x4614)]).toEqual([
      'halted',
      ...keys.map(({ key }) => Number.parseInt(key, 16)),
    ])
  })
})

describe('what every routine leaves alone', () => {
  const parts = {
    A: ['af', 8],
    F: ['af', 0],
    B: ['bc', 8],
    C: ['bc', 0],
    D: ['de', 8],
    E: ['de', 0],
    H: ['hl', 8],
    L: ['hl', 0],
  } as const
  const others = ['ix', 'iy', 'sp', 'af_', 'bc_', 'de_', 'hl_', 'i', 'im', 'iff1', 'iff2'] as const
  const needs: Record<string, Partial<Registers>> = { WAITMS: { bc: 3 }, BUZZ: { hl: 5, de: 9 } }

  test.each(benchEight.firmware.routines.map((routine): [string, Routine] => [routine.name, routine]))(
    '%s',
    (name, { changes }) => {
      const { result, before } = call(name, needs[name], { keys: [{ key: '9', from: 50_000, to: 200_000 }] })
      const spAfter = before.sp + 2
      for (const [part, [pair, shift]] of Object.entries(parts))
        if (!changes.includes(part))
          expect([part, (result.registers[pair] >> shift) & 0xff]).toEqual([part, (before[pair] >> shift) & 0xff])
      for (const register of others)
        expect(result.registers[register]).toBe(register === 'sp' ? spAfter : before[register])
    },
  )

  test.each(benchEight.firmware.routines.map(({ name }) => name))('%s writes to no memory but the stack', (name) => {
    const asked = request(`CALL ${name} | RET`, {
      ...{ ends: 'return', isWatchingWrites: true },
      given: { registers: needs[name] ?? {}, keys: [{ key: '9', from: 50_000, to: 200_000 }] },
    })
    for (const event of run(asked).events)
      if (event.kind === 'memory-write') expect(event.address).toBeGreaterThanOrEqual(0x4800 - 16)
  })
})

describe('the interrupt hook', () => {
  test('a handler gets every register as it was, and costs 56 T more than itself', () => {
    const text = 'LD HL,TICK | LD (4710H),HL | LD HL,1234H | EI | JR $ | TICK: HALT'
    const result = run(request(text, { given: { isTimerOn: true } }))
    expect(result.end.kind).toBe('halted')
    expect(result.registers.hl).toBe(0x1234)
    const taken = result.events.at(0)?.t ?? 0
    // 13 T for the acceptance (its strobe comes at its third T-state), 56 in ROM, 4 for the HALT.
    expect(result.tStates - taken).toBe(13 - 3 + 56 + 4)
  })

  test('a program that has not set it is not led astray', () => {
    const result = run(
      request('EI | LD BC,100 | CALL WAITMS | DI | HALT', { given: { isTimerOn: true, fill: { seed: 8 } } }),
    )
    expect(result.end.kind).toBe('halted')
    expect(result.events.filter(({ kind }) => kind === 'interrupt')).toHaveLength(10)
  })
})
