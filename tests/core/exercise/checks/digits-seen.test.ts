import { describe, expect, test } from 'vitest'
import type { BoardEvent } from '../../../../core/board/index.ts'
import { outcome, sweeps, tryCheck } from '../try-check.ts'

// TRAC on the four leftmost digits of Bench-8 (2.5 MHz: 2,500 T are 1 ms).
const trac = [0x78, 0x50, 0x77, 0x39]

function swept(times: number, each: number | readonly number[] = 2500, pause = 0, segments = trac) {
  const { events, end } = sweeps(segments, times, each, pause)
  return { events, tStates: end }
}

describe('digits-seen', () => {
  test('sees a sign that is swept fast enough', () => {
    expect(outcome('digits-seen', { glyphs: 'TRAC' }, swept(50))).toBe('passed')
    expect(outcome('digits-seen', { glyphs: 'TRAP' }, swept(50))).toBe('failed')
  })
  test('says what was seen', () => {
    expect(tryCheck('digits-seen', { glyphs: 'TRAP' }, swept(50)).message).toBe(
      "The digits showed 'TRAC'; wanted 'TRAP' standing steadily.",
    )
  })
  test('counts sweeps and compares brightness where the digits need not stand together, too', () => {
    // Four digits of 2,500 T: 250 sweeps a second; with a pause of 30,000 T 62.5.
    const at = (fields: object, run: object) => outcome('digits-seen', { glyphs: 'TRAC', state: 'any', ...fields }, run)
    expect(at({ minRefresh: 249 }, swept(50))).toBe('passed')
    expect(at({ minRefresh: 251 }, swept(50))).toBe('out-of-tolerance')
    expect(at({ minRefresh: 62 }, swept(20, 2500, 30_000))).toBe('passed')
    expect(at({ minRefresh: 63 }, swept(20, 2500, 30_000))).toBe('out-of-tolerance')
    expect(at({ maxSpread: 10 }, swept(50, [2500, 2500, 2500, 1250]))).toBe('out-of-tolerance')
    expect(at({ maxSpread: 60 }, swept(50, [2500, 2500, 2500, 1250]))).toBe('passed')
  })
  test('tells a point too many from the glyph that it stands beside', () => {
    const withPoint = swept(50, 2500, 0, trac.with(3, 0x39 | 0x80))
    expect(tryCheck('digits-seen', { glyphs: 'TRAC', state: 'any' }, withPoint).message).toBe(
      "Digit 4 showed 'C' with its point; wanted 'C'.",
    )
  })
  describe('the share of digits that are right', () => {
    const share = (fields: object, run: object) => tryCheck('digits-seen', fields, run).parts?.()
    test('three of four glyphs, steadily and at some time', () => {
      const wrong = swept(50, 2500, 0, trac.with(3, 0x73))
      expect(share({ glyphs: 'TRAC' }, swept(50))).toEqual({ right: 4, of: 4, before: 0 })
      expect(share({ glyphs: 'TRAC' }, wrong)).toMatchObject({ right: 3, of: 4 })
      expect(share({ glyphs: 'TRAC', state: 'any' }, wrong)).toMatchObject({ right: 3, of: 4 })
      expect(share({ glyphs: 'TRAC' }, {})).toMatchObject({ right: 0, of: 4 })
    })
    test('digits that are right one after the other do not stand together', () => {
      const one = sweeps([0x78, 0x73, 0x77], 50)
      const other = sweeps([0x73, 0x50, 0x77], 50)
      const events = [...one.events, ...other.events.map((event) => ({ ...event, t: event.t + one.end }))]
      const both = { events, tStates: one.end + other.end }
      expect(share({ glyphs: 'TRA' }, both)).toMatchObject({ right: 2, of: 3 })
      expect(share({ glyphs: 'TRA', state: 'any' }, both)).toMatchObject({ right: 1, of: 3 })
    })
    test('a digit that flickers is not right', () => {
      expect(share({ glyphs: 'TRAC' }, swept(40, 1000, 41_751 - 3000))).toMatchObject({ right: 0, of: 4 })
    })
    test('how they stand is one more where it is asked', () => {
      const timed = { glyphs: 'T', for: '1000000 T', forWithin: '10000 T' }
      expect(share(timed, swept(400, 2500, 0, [0x78]))).toMatchObject({ right: 2, of: 2 })
      expect(share(timed, swept(300, 2500, 0, [0x78]))).toMatchObject({ right: 1, of: 2 })
    })
    test('a dark digit that has to be dark is nobody’s work', () => {
      expect(share({ glyphs: 'TR C' }, {})).toMatchObject({ right: 1, of: 4, before: 1 })
    })
  })
  test('a blank wants a dark digit', () => {
    expect(outcome('digits-seen', { glyphs: 'TR C' }, swept(50, 2500, 0, [0x78, 0x50, 0, 0x39]))).toBe('passed')
    expect(outcome('digits-seen', { glyphs: 'TR C' }, swept(50))).toBe('failed')
  })
  test('a gap of 16.7 ms is steady, a longer one flickers', () => {
    // Digit 1 is lit 1,000 T and dark for the other three and the pause: 41,750 T are 16.7 ms.
    const at = (gap: number) => outcome('digits-seen', { glyphs: 'TRAC' }, swept(40, 1000, gap - 3000))
    expect([41_750, 41_751].map(at)).toEqual(['passed', 'failed'])
  })
  test('the time it stands may reach the limit of its tolerance', () => {
    // A sweep of four digits is 10,000 T; the last digit is dark from the end of the run's last sweep on.
    const at = (times: number) =>
      outcome('digits-seen', { glyphs: 'T', for: '1000000 T', forWithin: '10000 T' }, swept(times, 2500, 0, [0x78]))
    expect([395, 396, 404, 405].map(at)).toEqual(['out-of-tolerance', 'passed', 'passed', 'out-of-tolerance'])
  })
  test('refresh is counted in sweeps a second', () => {
    // 2,500,000 / 60 = 41,666.7 T a sweep.
    const at = (pause: number) => outcome('digits-seen', { glyphs: 'TRAC', minRefresh: 60 }, swept(50, 2500, pause))
    expect([31_666, 31_667].map(at)).toEqual(['passed', 'out-of-tolerance'])
  })
  test('brightness may differ by the limit and no more', () => {
    const at = (last: number) =>
      outcome('digits-seen', { glyphs: 'TRAC', maxSpread: 10 }, swept(50, [2500, 2500, 2500, last]))
    expect([2250, 2249].map(at)).toEqual(['passed', 'out-of-tolerance'])
  })
  test('segments of a neighbour may show for the limit and no longer', () => {
    // The next digit is selected while the segments of the last one still stand: `ghost` T of the 2,500 T it is lit.
    const at = (ghost: number, fields: object = { maxGhost: 1 }) => {
      const events: BoardEvent[] = []
      let t = 100
      const write = (port: number, value: number): void => {
        events.push({ kind: 'port-write', t, pc: 0x4010, port, value })
      }
      for (let sweep = 0; sweep < 50; sweep++) {
        for (const [digit, value] of trac.entries()) {
          write(0x21, 1 << digit)
          t += ghost
          write(0x20, value)
          t += 2500 - ghost
        }
      }
      return outcome('digits-seen', { glyphs: 'TRAC', ...fields }, { events, tStates: t })
    }
    expect([24, 25, 26].map((ghost) => at(ghost))).toEqual(['passed', 'passed', 'out-of-tolerance'])
    expect(at(26, {})).toBe('passed')
  })
  test('a digit left on at the end is found', () => {
    const { events, tStates } = swept(50)
    const on = { kind: 'port-write', t: tStates, pc: 0x4020, port: 0x21, value: 1 } as const
    const fields = { glyphs: 'TRAC', darkAtEnd: true }
    expect(outcome('digits-seen', fields, { events, tStates: tStates + 4 })).toBe('passed')
    expect(outcome('digits-seen', fields, { events: [...events, on], tStates: tStates + 4 })).toBe('failed')
  })
  test('one sweep is seen, if not steadily', () => {
    expect(outcome('digits-seen', { glyphs: 'TRAC', state: 'any' }, swept(1))).toBe('passed')
    expect(outcome('digits-seen', { glyphs: 'TRAC' }, swept(1))).toBe('failed')
    expect(outcome('digits-seen', { glyphs: 'TRAP', state: 'any' }, swept(1))).toBe('failed')
  })
  test('a dark display is decided at the end of the run', () => {
    expect(tryCheck('digits-seen', { glyphs: 'TRAC' }, {})).toMatchObject({ outcome: 'failed', at: { t: 1000 } })
  })
  test('from and to look at a part of the run', () => {
    const first = sweeps(trac, 50)
    const second = sweeps([0x78, 0x50, 0x77, 0x73], 50)
    const events = [...first.events, ...second.events.map((event) => ({ ...event, t: event.t + first.end }))]
    const run = { events, tStates: first.end + second.end }
    expect(outcome('digits-seen', { glyphs: 'TRAC', to: first.end }, run)).toBe('passed')
    expect(outcome('digits-seen', { glyphs: 'TRAC', from: first.end + 20_000 }, run)).toBe('failed')
    expect(outcome('digits-seen', { glyphs: 'TRAP', from: first.end + 20_000 }, run)).toBe('passed')
  })
})
