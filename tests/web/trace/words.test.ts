import { describe, expect, test } from 'vitest'
import { ticks } from '../../../web/trace/axis/ruler.ts'
import { flagsOf, frequency } from '../../../web/machine/words.ts'

const clock = 2_500_000

describe('figures in words', () => {
  test('frequencies are rounded to what can be heard', () => {
    expect([frequency(996.81), frequency(440), frequency(12_345)]).toEqual(['996.8 Hz', '440 Hz', '12.35 kHz'])
  })
})

describe('flags', () => {
  // Bits of F from 7 to 0: S Z 5 H 3 P/V N C (UM0080).
  test('stand in the order of the register with their meaning', () => {
    const flags = flagsOf(0x0041)
    expect(flags.map((flag) => flag.letter).join('')).toBe('SZYHXPNC')
    expect(flags.filter((flag) => flag.isSet).map((flag) => flag.meaning)).toEqual(['zero', 'carry'])
  })
})

describe('ticks of the ruler', () => {
  // At 2.5 MHz a T-state is 0.4 µs.
  const times = (from: number, to: number, width: number) =>
    ticks({ from, to }, width, 100, clock).map((tick) => `${tick.t} ${tick.time}`)

  test('stand at round T-states', () => {
    expect(times(0, 5_000_000, 500)).toEqual([
      '0 0',
      '1000000 400 ms',
      '2000000 800 ms',
      '3000000 1200 ms',
      '4000000 1600 ms',
    ])
  })

  test('neighbours never show the same time, however close the look', () => {
    const shown = times(1_250_000, 1_250_016, 1600).map((line) => line.split(' ')[1])
    expect(new Set(shown).size).toBe(shown.length)
    expect(shown).toHaveLength(16)
  })
})
