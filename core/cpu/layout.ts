import { attribute } from './cpu.ts'
import { flagTables, type FlagTable } from './flags.ts'
import type { RegisterName } from './effect.ts'

/**
 * Where a machine keeps what it knows: one block of bytes, the same for both engines. Words are little-endian, as typed
 * arrays are on every machine that runs JavaScript today.
 */
export const layout = {
  /** The 64 KB of the machine, then its first 4 bytes once more, so that an instruction may run over the end. */
  memory: 0,
  mirror: 0x10000,
  /** 32 bytes that a trace copies as they are: twelve pairs, then `pc` … `halted`. */
  registers: 0x10100,
  pc: 0x10118,
  i: 0x1011a,
  /** Bit 7 of R. */
  r7: 0x1011b,
  iff1: 0x1011c,
  iff2: 0x1011d,
  im: 0x1011e,
  halted: 0x1011f,

  // 32-bit words. Times are counted from the entry into the engine.
  t: 0x10120,
  /** Low half: opcode fetches since entry, for R. High half: instructions since entry. */
  counts: 0x10124,
  /** The engine comes back when the time is not before this. */
  limit: 0x10128,
  /** The engine looks around (`attend`) when the time is not before this: `limit`, or `always`. */
  attendFrom: 0x1012c,
  /** When the last instruction that changed the flags ended (Q), EI, a prefix, LD A,I or LD A,R. */
  flagsAt: 0x10130,
  holdAt: 0x10134,
  prefixAt: 0x10138,
  interruptFlagAt: 0x1013c,
  /** Bits 0 to 6 of R are those of this and the opcode fetches together. */
  rBase: 0x10140,
  /** 1 while the INT pin is active; behind it, so that both can be read as one: 1 from the edge on the NMI pin on. */
  interruptLine: 0x10144,
  nmi: 0x10148,
  /** Any of `mode`. */
  mode: 0x1014c,
  stepsLeft: 0x10150,
  /** Address of the trace record that was begun last. */
  traceAt: 0x10154,
  lowestSp: 0x1015c,
  /** How often more an instruction may begin at `passAt` though the byte is marked `stopAt`. */
  passes: 0x10158,
  /** Address and start of the instruction that is calling the bus; where the prefixes in front of it began. */
  callerPc: 0x10160,
  callerT: 0x1016c,
  prefixPc: 0x10170,
  /** `counts` behind the last prefix without effect. */
  prefixCounts: 0x10174,
  /** Address of the last instruction that was begun. */
  lastPc: 0x10178,
  /** 1 where loops that only wait may be skipped in one go. */
  shortcuts: 0x10164,
  passAt: 0x1017c,
  /** One byte: 1 while what an instruction writes is added to its trace record. */
  tracing: 0x101b0,
  /** Byte on the data bus while an interrupt is acknowledged. */
  busByte: 0x10168,

  /**
   * The WebAssembly interpreter keeps T-states, instructions and opcode fetches in one 64-bit number, the clock: bits 40 to
   * 63, 20 to 39, 0 to 19. While it runs these stand for the words above of the same name; every moment has its own clock.
   */
  clock: {
    ...{ attendFrom: 0x10180, flagsAt: 0x10188, holdAt: 0x10190, prefixAt: 0x10198, interruptFlagAt: 0x101a0 },
    now: 0x101a8,
  },

  flagTables: 0x10200,
  /** One byte for each 256 bytes of memory: 1 once the program wrote there. */
  dirty: 0x10c00,
  attributes: 0x20000,
  /** Behind the last attribute: `stopAt` for the PC that has run over the end of memory and is not yet cut to 16 bits. */
  overrun: 0x30000,
  trace: 0x30040,
  /** So few that the ring stays in the processor's cache: eight times as many made a traced run half as slow again. */
  traceRecords: 2_048,
  end: 0x50000,
} as const

/**
 * One record of the trace ring, written as an instruction begins: the 32 bytes at `layout.registers`, then these. What it
 * writes to memory is added as it does so.
 */
export const traceRecord = {
  size: 48,
  t: 32,
  r: 36,
  writes: 37,
  /** 1 if the instruction before changed the flags (Q). */
  flagsChanged: 38,
  /** 0 for an instruction, 1 for the acceptance of an interrupt, 2 for 4 T-states of waiting in HALT. */
  kind: 39,
  /** Twice: address (2 bytes), byte before, byte written. */
  write: 40,
} as const

/** A time before any other. */
export const always = -0x8000_0000

/** Why the engine looks around before every instruction. `passStops`: bytes marked `stopAt` are no reason to stop. */
export const mode = { passStops: 1, countSteps: 2, trace: 4, lowestSp: 8 } as const

/** The attribute bit that the engine keeps for itself, beside those of `attribute`. */
export const ownAttribute = { mirrored: 0x40 } as const

/** Why the engine came back. `aside`: for one instruction the other of the two WebAssembly modules is needed. */
export const reason = { none: 0, limit: 1, halted: 2, interrupt: 3, stopAt: 4, steps: 5, aside: 6 } as const

const pairs = ['AF', 'BC', 'DE', 'HL', "AF'", "BC'", "DE'", "HL'", 'IX', 'IY', 'SP', 'WZ'] as const

export type RegisterInMemory = Exclude<RegisterName, 'R' | 'Q'>
/** Where a register lies. R, Q and PC are not simply a place in memory while the engine runs. */
export const registerAt: Readonly<Record<RegisterInMemory, number>> = (() => {
  const at = Object.fromEntries(pairs.map((pair, index) => [pair, layout.registers + 2 * index]))
  const low = (pair: (typeof pairs)[number]) => layout.registers + 2 * pairs.indexOf(pair)
  return {
    ...(at as Record<(typeof pairs)[number], number>),
    ...{ F: low('AF'), A: low('AF') + 1, C: low('BC'), B: low('BC') + 1 },
    ...{ E: low('DE'), D: low('DE') + 1, L: low('HL'), H: low('HL') + 1 },
    ...{ IXL: low('IX'), IXH: low('IX') + 1, IYL: low('IY'), IYH: low('IY') + 1 },
    ...{ PC: layout.pc, I: layout.i, IFF1: layout.iff1, IFF2: layout.iff2, IM: layout.im },
  }
})()

/** Where a flag table lies. */
export const tableAt: Readonly<Record<FlagTable, number>> = (() => {
  let next: number = layout.flagTables
  const at = {} as Record<FlagTable, number>
  for (const name of Object.keys(flagTables) as FlagTable[]) {
    at[name] = next
    next += 1 << flagTables[name].bits
  }
  return at
})()

const ringEnd = layout.trace + layout.traceRecords * traceRecord.size
/** Where `traceAt` stands before the first record. */
export const lastRecord = ringEnd - traceRecord.size
/** The record behind another one, around the ring. */
export const recordBehind = (at: number): number => (at === lastRecord ? layout.trace : at + traceRecord.size)

const tables = (() => {
  const bytes = new Uint8Array(layout.dirty - layout.flagTables)
  for (const name of Object.keys(flagTables) as FlagTable[]) {
    const { bits, flags } = flagTables[name]
    for (let index = 0; index < 1 << bits; index++) bytes[tableAt[name] - layout.flagTables + index] = flags(index)
  }
  return bytes
})()

/** Writes what never changes. */
export function fillTables(bytes: Uint8Array) {
  bytes.set(tables, layout.flagTables)
  bytes.fill(attribute.stopAt, layout.overrun, layout.overrun + 16)
}
