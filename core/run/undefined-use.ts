import type { Addr, Byte, TState } from '../cpu/index.ts'

/** A value that nothing set, or made of such a one, and what the program compared it with. */
export interface ComparisonOfUndefined {
  readonly value: number
  readonly with: number
  /** Both have 16 bits, else 8. */
  readonly isWord: boolean
}

/** What a run made of registers and memory that held chance when it began. */
export interface UndefinedUse {
  /** A branch, an address or a port hung on such a value, or nobody can tell that none did. */
  readonly isDecisive: boolean
  /** Steps that the run had taken before the first such thing; 0 where nobody can tell, Infinity where there was none. */
  readonly decisiveStep: number
  /** The part of the registers at the start that it hung on; null where it was none, or several, or something made of it. */
  readonly decidedBy: number | null
  /** Comparisons with something defined, as far as the run was followed, the last first. */
  readonly comparisons: readonly ComparisonOfUndefined[]
  /** Bytes of instructions that the program had executed by then (`CP n`), the last first: such a value may be told by one. */
  readonly constants: readonly Byte[]
  /** The part of the registers at the start that a part's value at the end is a copy of; null for any other value. */
  sourceOf(part: number): number | null
  /** Whether a part of the registers (`registerParts` of cpu) held such a value, or something made of one, at the end. */
  isUndefined(part: number): boolean
  /** Whether a part that was undefined at the start was kept, or put back, all the time. True for those that were not. */
  isKept(part: number): boolean
  /** Until when a part was undefined at first; 0 for those that never were, Infinity for those that were never set. */
  setAt(part: number): TState
  /** Whether a byte held such a value at the end, or something made of one. */
  isByteUndefined(address: Addr): boolean
  /** Whether a byte held chance when the run began. */
  wasByteUndefined(address: Addr): boolean
  /** Whether a byte of RAM was written to. */
  isWritten(address: Addr): boolean
  /** Whether such a value was ever stored in a byte, other than by PUSH. */
  wasStored(address: Addr): boolean
}
