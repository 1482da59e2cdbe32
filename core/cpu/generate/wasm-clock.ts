import { layout } from '../layout.ts'
import type { Code } from './wasm-bytes.ts'

/** Everything per moment is in one number, the clock (`layout.clock`): what is added to it by T-states and fetches. */
export const clockOf = (tStates: number, fetches: number, instructions = 0): bigint =>
  (BigInt(tStates) << 40n) | (BigInt(instructions) << 20n) | BigInt(fetches)
export const alwaysClock = -(1n << 63n)
const stamps = ['flagsAt', 'holdAt', 'prefixAt', 'interruptFlagAt'] as const
export type Stamp = (typeof stamps)[number]

/** The locals of an interpreting function; all else stays in memory, which is faster than more locals are. */
export interface Registers {
  readonly pc: number
  readonly clock: number
  /** From where IX lies to the index register of an instruction behind DD or FD. */
  readonly index: number
  /** For the named values of an instruction; the next one uses them again. */
  readonly free: number[]
  /** For what comes behind an instruction. */
  readonly spare: readonly [number, number]
}

/** Puts the T-states of the clock on the stack. */
export const tOf = (code: Code, clock: number): Code => code.get(clock).constant64(40n).op('shr64', 'wrap')

/** Puts the counts of the clock on the stack as `layout.counts` has them. */
export const countsOf = (code: Code, clock: number): Code =>
  code
    .get(clock)
    .constant64(20n)
    .op('shr64', 'wrap')
    .constant(16)
    .op('shl')
    .get(clock)
    .op('wrap')
    .constant(0xffff)
    .op('and', 'or')

/** New locals. */
export const registersOf = (code: Code): Registers => ({
  pc: code.local(),
  clock: code.local('i64'),
  index: code.local(),
  free: [],
  spare: [code.local(), code.local()],
})

/** PC and clock as another function of the module left them. */
export function resume(code: Code): Registers {
  const registers = registersOf(code)
  reload(code, registers)
  return registers
}

/** The same into the locals of a function that called another one. */
export function reload(code: Code, { pc, clock }: Registers) {
  code.constant(0).access('load16', layout.pc).set(pc)
  code.constant(0).access('load64', layout.clock.now).set(clock)
}

/** PC and clock for another function of the module. */
export function pause(code: Code, { pc, clock }: Registers) {
  code.constant(0).get(pc).access('store16', layout.pc)
  code.constant(0).get(clock).access('store64', layout.clock.now)
}

/** Takes over the words of `layout` whose moments the interpreter keeps as clocks. */
export function enter(code: Code, registers: Registers) {
  code.constant(0).access('load16', layout.pc).set(registers.pc)
  code.constant(0).constant(0).access('load', layout.attendFrom).op('extend').constant64(40n).op('shl64')
  code.access('store64', layout.clock.attendFrom)
  for (const name of stamps) {
    code.constant(0).constant(0).access('load', layout[name]).op('extend').access('store64', layout.clock[name])
  }
}

/** Gives the words back. */
export function leave(code: Code, { pc, clock }: Registers) {
  code.constant(0).get(pc).access('store16', layout.pc)
  code.constant(0)
  tOf(code, clock).access('store', layout.t)
  code.constant(0)
  countsOf(code, clock).access('store', layout.counts)
  for (const name of stamps) {
    code.constant(0)
    tOf(code, clock).constant(-1).constant(0).access('load64', layout.clock[name]).get(clock).op('eq64', 'select')
    code.access('store', layout[name])
  }
}
