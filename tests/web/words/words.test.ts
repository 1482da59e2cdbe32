import { describe, expect, test } from 'vitest'
import {
  clockTime,
  count,
  distance,
  duration,
  fromWallClock,
  moment,
  score,
  toWallClock,
  whole,
} from '../../../web/words/index.ts'

describe('figures', () => {
  test('part thousands by a thin space', () => {
    expect([whole(0), whole(999), whole(1_250_008), whole(-14_000)]).toEqual([
      '0',
      '999',
      '1\u202f250\u202f008',
      '−14\u202f000',
    ])
  })
  test('a score never rounds up to full marks', () => {
    expect([score(100), score(99.96), score(62.5), score(33.33), score(0)]).toEqual([
      '100',
      '99.9',
      '62.5',
      '33.3',
      '0',
    ])
  })
  // Bench-8's clock of 2.5 MHz: 1 T = 0.4 µs; 1,250,008 T = 500.003 ms (domain arithmetic, T/f).
  test('time on a board stands in the unit that suits', () => {
    expect([duration(86, 2_500_000), duration(20_000, 2_500_000), duration(5_000_000, 2_500_000)]).toEqual([
      '34.4 µs',
      '8 ms',
      '2 s',
    ])
  })
  test('one is one and the rest are many', () =>
    expect([count(1, 'byte'), count(0, 'byte'), count(2, 'entry', 'entries')]).toEqual([
      '1 byte',
      '0 bytes',
      '2 entries',
    ]))
})

describe('moments', () => {
  const now = Date.parse('2026-11-25T09:30:00Z')
  test('stand in the time zone of the course', () => {
    expect(moment('2026-11-25T23:30:00Z', 'Europe/Berlin', now)).toBe('Thu 26 Nov, 00:30')
    expect(clockTime('2026-11-25T23:30:05Z', 'Europe/Berlin')).toBe('00:30:05')
  })
  test('name the year where it is another', () =>
    expect(moment('2027-01-04T08:00:00Z', 'UTC', now)).toBe('Mon 4 Jan 2027, 08:00'))
  test('say how far off they are', () => {
    const off = (milliseconds: number) => distance(new Date(now + milliseconds).toISOString(), now)
    expect([off(20_000), off(60_000), off(40 * 60_000), off(-3 * 3_600_000), off(72 * 3_600_000)]).toEqual([
      'now',
      'in 1 minute',
      'in 40 minutes',
      '3 hours ago',
      'in 3 days',
    ])
  })
})

describe('a wall clock', () => {
  test('comes back as it went', () => {
    for (const zone of ['UTC', 'Europe/Berlin', 'America/New_York', 'Asia/Kolkata', 'Pacific/Auckland'])
      for (const wall of ['2026-01-15T08:00', '2026-07-15T23:59', '2028-02-29T00:00'])
        expect(toWallClock(fromWallClock(wall, zone), zone)).toBe(wall)
  })
  // Berlin 2026: clocks go forward on 29 March at 02:00 and back on 25 October at 03:00 (EU rule, last Sundays; from memory).
  test('shown twice means the first time', () =>
    expect(fromWallClock('2026-10-25T02:30', 'Europe/Berlin')).toBe('2026-10-25T00:30:00.000Z'))
  test('never shown means as much after the gap', () =>
    expect(fromWallClock('2026-03-29T02:30', 'Europe/Berlin')).toBe('2026-03-29T01:30:00.000Z'))
})
