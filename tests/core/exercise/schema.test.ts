import { describe, expect, test } from 'vitest'
import {
  byte,
  bytes,
  choice,
  distanceOf,
  duration,
  list,
  nearestSpelling,
  object,
  optional,
  pathText,
  required,
  text,
  tolerance,
  tStatesOf,
  whole,
  word,
  type Schema,
} from '../../../core/exercise/schema/index.ts'

function read<T>(schema: Schema<T>, value: unknown): T | string {
  const problems: string[] = []
  const result = schema.read(value, ['here'], (problem) => problems.push(problem.message))
  return result === undefined ? problems.join('\n') : result
}

describe('numbers', () => {
  test('are read in every style', () => {
    for (const style of [55, '55', '37h', '37H', '0x37', '0X37', '00110111b', '0b00110111']) {
      expect(read(byte, style)).toBe(55)
    }
  })
  test('0Bh is hexadecimal although it holds a B, 10b is binary', () => {
    expect(read(byte, '0Bh')).toBe(11)
    expect(read(byte, '10b')).toBe(2)
  })
  test('are refused outside their range and in no style', () => {
    expect(read(byte, 255)).toBe(255)
    expect(read(byte, 256)).toContain('here: found 256, allowed a whole number from 0 to 255')
    expect(read(word, 65536)).toContain('found 65536')
    for (const odd of ['FFh0', '4G', '', 1.5, -1, null, true, '-1']) expect(read(byte, odd)).toContain('allowed')
  })
})

describe('bytes', () => {
  test('are pairs of hexadecimal digits or a list of numbers', () => {
    expect(read(bytes(1, 4), '3E 05')).toEqual([0x3e, 5])
    expect(read(bytes(1, 4), '3e05')).toEqual([0x3e, 5])
    expect(read(bytes(1, 4), [0x3e, '05h'])).toEqual([0x3e, 5])
  })
  test('refuse an odd digit, a bare number, too many', () => {
    for (const odd of ['3E 0', 37, '3G', '01 02 03 04 05', []]) expect(read(bytes(1, 4), odd)).toContain('allowed')
  })
})

describe('amounts', () => {
  test('a time is turned into T-states of a clock', () => {
    const t = (value: unknown) => {
      const time = read(duration, value)
      return typeof time === 'string' ? time : tStatesOf(time, 2_500_000)
    }
    expect([t('2 s'), t('250 ms'), t('12 us'), t('1250000 T'), t(77)]).toEqual([5_000_000, 625_000, 30, 1_250_000, 77])
  })
  test('a tolerance is a part or a distance', () => {
    const limit = (value: unknown) => {
      const within = read(tolerance('%', 'T', 'ms'), value)
      return typeof within === 'string' ? within : distanceOf(within, 5000, 2_500_000)
    }
    expect([limit('±2 %'), limit('2 %'), limit('26 T'), limit('1 ms')]).toEqual([100, 100, 26, 2500])
    expect(limit('1 Hz')).toContain('allowed')
  })
})

describe('spelling', () => {
  test('suggests the nearest allowed word and nothing far away', () => {
    const kinds = ['registers', 'memory', 'speaker']
    expect(nearestSpelling('register', kinds)).toBe('registers')
    expect(nearestSpelling('memroy', kinds)).toBe('memory')
    expect(nearestSpelling('lamp', kinds)).toBe(null)
  })
})

describe('groups of fields', () => {
  const schema = object('thing', 'A thing.', {
    title: required(text(1, 10), 'Its title.'),
    size: optional(whole(0, 9), 'Its size.', 3),
    kind: optional(choice(['round', 'square']), 'Its kind.', null),
    parts: optional(list(whole(0, 9)), 'Its parts.', []),
  })
  test('give every field, those left out with what holds then', () => {
    expect(read(schema, { title: 'a' })).toEqual({ title: 'a', size: 3, kind: null, parts: [] })
  })
  test('reading what was read gives it again', () => {
    const once = read(schema, { title: 'a', size: '7' })
    expect(read(schema, once)).toEqual(once)
  })
  test('report every wrong field at once, each with its path', () => {
    const found = read(schema, { titel: 'a', size: 10, kind: 'rond', parts: [1, 10] })
    expect(String(found).split('\n')).toEqual([
      "here.titel: found 'titel', allowed title, size, kind, parts. Did you mean 'title'?",
      'here.title: found nothing, allowed text of 1 to 10 characters.',
      'here.size: found 10, allowed a whole number from 0 to 9 (as 55, 37h, 0x37 or 00110111b).',
      "here.kind: found 'rond', allowed one of round, square. Did you mean 'round'?",
      'here.parts[1]: found 10, allowed a whole number from 0 to 9 (as 55, 37h, 0x37 or 00110111b).',
    ])
  })
  test('names that every object has by birth are fields like others', () => {
    expect(read(schema, JSON.parse('{"title": "a", "__proto__": 1, "constructor": 2}'))).toContain("found '__proto__'")
    expect(read(choice(['a']), 'toString')).toContain('allowed a')
  })
})

test('a path reads like an address in the document', () => {
  expect(pathText(['checks', 2, 'want', 'a'])).toBe('checks[2].want.a')
  expect(pathText([])).toBe('the document')
})
