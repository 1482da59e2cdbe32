import type { Addr, Byte } from './instruction.ts'

/** What an engine calls. Times are counted from its entry. */
export interface Host {
  input(port: number, t: number): Byte
  output(port: number, value: Byte, t: number): void
  /** A write to a byte that has attributes. */
  markedWrite(address: Addr, value: Byte, t: number): void
}

/** One of the interpreters made from the table, at work on one machine's block of bytes (`layout.ts`). */
export interface Engine {
  readonly bytes: Uint8Array
  /** Runs from the state in the block until there is a `reason` to come back. */
  run(): number
  /** Accepts an interrupt instead of an instruction. */
  accept(kind: Acceptance): void
  /** Told when HALT has waited for some times four T-states. */
  waited?(rounds: number): void
}

export type Acceptance = 'nmi' | 'mode0' | 'mode1' | 'mode2'
