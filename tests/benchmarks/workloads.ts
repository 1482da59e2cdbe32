import { readFileSync } from 'node:fs'
import { assemble } from '../../core/assembler/index.ts'

/** A program of ours that runs to HALT; how long is set by the byte or word ROUNDS at 4000H. */
export interface Workload {
  readonly name: string
  readonly about: string
  /** The low byte counts first, so 256 × (high − 1) + low rounds, where 0 counts as 256. */
  readonly isRoundsWord: boolean
  /** Rounds to warm up with: about 30 million T-states; and of one measured run, about 5 million. */
  readonly rounds: number
  readonly measured: number
}

export const workloads: readonly Workload[] = [
  { name: 'memory', about: 'sieve, block moves, 16-bit counters', isRoundsWord: false, rounds: 30, measured: 5 },
  {
    name: 'arithmetic',
    about: 'recursion, decimal, CRC, rotates, digits, exchanges',
    isRoundsWord: true,
    rounds: 430,
    measured: 75,
  },
  { name: 'board', about: 'tones, display scan, key row, waiting', isRoundsWord: true, rounds: 430, measured: 75 },
]

export const entry = 0x100
/** Runs of which the fastest counts, for every core. */
export const timesEach = 21

/** All 65,536 bytes at the start of a run with that many rounds. */
export function memoryOf(workload: Workload, rounds: number): Uint8Array {
  const text = readFileSync(new URL(`workloads/${workload.name}.asm`, import.meta.url), 'utf8')
  const program = assemble(text, { origin: entry })
  if (!program.isOk) throw new Error(`${workload.name}: ${JSON.stringify(program.problems)}`)
  const memory = new Uint8Array(0x10000)
  for (const { start, bytes } of program.image.segments) memory.set(bytes, start)
  if (workload.isRoundsWord) {
    memory[0x4000] = rounds & 0xff
    memory[0x4001] = Math.ceil(rounds / 256)
  } else memory[0x4000] = rounds
  return memory
}

/** Same everywhere, also in C: 32-bit FNV-1a. */
export const fnvStart = 0x811c9dc5 | 0
export const fnv = (hash: number, byte: number): number => Math.imul(hash ^ (byte & 0xff), 0x01000193)

export function hashOf(bytes: Uint8Array): number {
  let hash = fnvStart
  for (const byte of bytes) hash = fnv(hash, byte)
  return hash >>> 0
}
