import { describe, expect, test } from 'vitest'
import { clockTime, flagsOf, frequency, grouped, hexByte, hexWord } from '../../../web/trace/model/words.ts'

const clock = 2_500_000

describe('figures in words', () => {
  test('hexadecimal as the trade writes it', () => {
    expect([hexWord(0x1f), hexWord(0x1_4000), hexByte(0x0a)]).toEqual(['001Fh', '4000h', '0Ah'])
  })

  // At 2.5 MHz a T-state is 0.4 µs (docs of the demo board).
  test.each([
    [1, '0.4 µs'],
    [1254, '501.6 µs'],
    [20_000, '8 ms'],
    [1_250_008, '500 ms'],
    [5_000_000, '2 s'],
  ])('%i T-states at 2.5 MHz are %s', (tStates, words) => {
    expect(clockTime(tStates, clock)).toBe(words)
  })

  test('counts are grouped, frequencies rounded to what can be heard', () => {
    expect([grouped(8_000_000), grouped(999)]).toEqual(['8,000,000', '999'])
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
