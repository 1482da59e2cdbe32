import { Digest } from '../board/index.ts'
import type { RunResult } from './request.ts'

/** 16 hexadecimal digits over everything in a result: equal runs have equal digests, on any machine. */
export function digestOfRun(result: RunResult): string {
  const digest = new Digest()
  digest
    .text(JSON.stringify(sorted(result.end)))
    .count(result.tStates)
    .count(result.steps)
    .word(result.lastPc)
  digest
    .text(JSON.stringify(sorted(result.registers)))
    .bytes(result.memory)
    .count(result.events.length)
  result.events.digestInto(digest)
  return digest.hex()
}

/** Names and values in the order of the names, so that the order of writing them down does not count. */
function sorted(record: object): unknown {
  return Object.entries(record)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, value]) => [name, typeof value === 'object' && value !== null ? sorted(value) : value])
}
