import { describe, expect, test } from 'vitest'
import { Digest, EventLog, type BoardEvent } from '../../../core/board/index.ts'

const events: BoardEvent[] = [
  { kind: 'port-write', t: 10, pc: 0x4000, port: 0x20, value: 0x3f },
  { kind: 'port-read', t: 21, pc: 0x4002, port: 0x23, value: 0xff },
  { kind: 'key', t: 25, key: 'RUN', isDown: true },
  { kind: 'speaker-edge', t: 30, pc: 0x4004, level: 1 },
  { kind: 'interrupt', t: 5_000_000_000, pc: 0x4006 },
  { kind: 'interrupt-lost', t: 5_000_025_000 },
  { kind: 'key', t: 5_000_025_001, key: 'A', isDown: false },
  { kind: 'memory-write', t: 9_007_199_254, pc: 0xffff, address: 0xffff, value: 0 },
]
const digestOf = (log: EventLog) => {
  const digest = new Digest()
  log.digestInto(digest)
  return digest.hex()
}

describe('a log of events', () => {
  test('gives back what was put in, in order', () => {
    const log = EventLog.from(events)
    expect(log.toArray()).toEqual(events)
    expect([...log]).toEqual(events)
    expect([log.length, log.at(0), log.at(-1), log.at(99)]).toEqual([8, events[0], events[7], undefined])
  })

  test('a window takes its start and leaves its end', () => {
    const log = EventLog.from(events)
    expect(log.between(21, 30)).toEqual(events.slice(1, 3))
    expect(log.between(0, Infinity)).toEqual(events)
    expect(log.firstFrom(26)).toBe(3)
  })

  test('grows past any size', () => {
    const log = new EventLog()
    for (let t = 0; t < 100_000; t++)
      log.push({ kind: 'port-write', t, pc: t & 0xffff, port: t & 0xff, value: t & 0xff })
    expect(log.at(99_999)).toEqual({ kind: 'port-write', t: 99_999, pc: 99_999 & 0xffff, port: 0x9f, value: 0x9f })
  })

  test('forgetting keeps the last write to each port', () => {
    const log = EventLog.from([
      { kind: 'port-write', t: 1, pc: 1, port: 0x20, value: 1 },
      { kind: 'port-write', t: 2, pc: 2, port: 0x21, value: 2 },
      { kind: 'port-read', t: 3, pc: 3, port: 0x20, value: 3 },
      { kind: 'port-write', t: 4, pc: 4, port: 0x20, value: 4 },
      { kind: 'port-write', t: 5, pc: 5, port: 0x20, value: 5 },
    ])
    expect(log.forgetBefore(5)).toBe(2)
    expect(log.toArray().map(({ t }) => t)).toEqual([2, 4, 5])
    expect(log.forgetBefore(5)).toBe(0)
  })

  test('the digest tells any change from what was', () => {
    const before = digestOf(EventLog.from(events))
    expect(digestOf(EventLog.from(events))).toBe(before)
    const changes: ((event: BoardEvent) => BoardEvent)[] = [
      (event) => ({ ...event, t: event.t + 1 }),
      (event) => ('pc' in event ? { ...event, pc: event.pc ^ 1 } : event),
      (event) => ('value' in event ? { ...event, value: event.value ^ 1 } : event),
      (event) => (event.kind === 'key' ? { ...event, key: 'B' } : event),
    ]
    for (const change of changes)
      for (let k = 0; k < events.length; k++) {
        const changed = events.map((event, i) => (i === k ? change(event) : event))
        const isSame = JSON.stringify(changed) === JSON.stringify(events)
        expect(digestOf(EventLog.from(changed)) === before).toBe(isSame)
      }
  })
})
