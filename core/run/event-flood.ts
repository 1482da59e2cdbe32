import { eventCode, type EventLog } from '../board/index.ts'
import type { EventFlood } from './request.ts'

/** Which event came most often; writes to memory count together, and are told by the address that was written most. */
export function eventFlood(events: EventLog): EventFlood {
  const writes = new Map<number, number>()
  const others = new Map<number, number>()
  for (let i = 0; i < events.length; i++) {
    const isWrite = events.codeAt(i) === eventCode.memoryWrite
    const key = isWrite ? events.whereAt(i) : events.codeAt(i) * 0x10000 + events.whereAt(i)
    const counts = isWrite ? writes : others
    counts.set(key, (counts.get(key) ?? 0) + 1)
  }
  const tStates = events.timeAt(events.length - 1)
  const [address, most] = mostOf(writes)
  const count = most === 0 ? 0 : [...writes.values()].reduce((sum, each) => sum + each, 0)
  const [key, ofOne] = mostOf(others)
  if (count >= ofOne) return { kind: 'memory-write', where: address, count, tStates }
  const kind = events.kindOf(key >>> 16)
  return { kind, where: kind === 'port-write' || kind === 'port-read' ? key & 0xffff : null, count: ofOne, tStates }
}

/** The key with the highest count, the first of several; 0 and 0 where there is none. */
function mostOf(counts: ReadonlyMap<number, number>): readonly [number, number] {
  return [...counts].reduce<readonly [number, number]>((best, each) => (each[1] > best[1] ? each : best), [0, 0])
}
