import { longestChain } from '../attend.ts'
import { attribute } from '../cpu.ts'
import { lastRecord, layout, mode, reason, registerAt, traceRecord } from '../layout.ts'
import type { Code } from './wasm-bytes.ts'
import { tOf, type Registers } from './wasm-clock.ts'

/** The same as `attend.ts`, in place: branches to `go`, or leaves the function with a reason after `exit`. */
export function attend(code: Code, registers: Registers, exit: () => void) {
  const { pc, clock } = registers
  const t = code.local()
  const why = code.local()
  const modes = code.local()
  const mayInterrupt = code.local()
  const long = (at: number) => code.constant(0).access('load', at)
  const stop = (because: number) => code.constant(because).set(why).branch('stop')
  code.get(pc).constant(0xffff).op('and').set(pc)
  tOf(code, clock).set(t)
  // The way of nearly every step of a traced run: nothing is to be seen but that it wants its record.
  code.block('more')
  code.constant(0).access('load64', layout.clock.prefixAt).get(clock).op('eq64').branchIf('more')
  code.get(t).constant(0).access('load', layout.limit).op('ge').branchIf('more')
  code.constant(0).access('load64', layout.interruptLine).constant64(0n).op('ne64').branchIf('more')
  code.constant(0).access('load8', layout.halted).branchIf('more')
  code.get(pc).access('load8', layout.attributes).constant(attribute.stopAt).op('and').branchIf('more')
  code.constant(0).access('load', layout.mode).constant(mode.trace).op('ne').branchIf('more')
  trace(code, registers, why)
  code.branch('go').op('end')
  code.block('stop')
  code.constant(0).access('load64', layout.clock.prefixAt).get(clock).op('eq64').get(t)
  long(layout.limit).constant(longestChain).op('add', 'lt', 'and').branchIf('go')
  code.constant(0).access('load8', layout.halted).if()
  stop(reason.halted).op('end')
  code.get(t)
  long(layout.limit).op('ge').if()
  stop(reason.limit).op('end')
  long(layout.interruptLine).constant(0).op('ne')
  code.constant(0).access('load8', layout.iff1).constant(0).op('ne', 'and').set(mayInterrupt)
  long(layout.nmi).get(mayInterrupt)
  code.constant(0).access('load64', layout.clock.holdAt).get(clock).op('ne64', 'and', 'or').if()
  stop(reason.interrupt).op('end')
  long(layout.mode).tee(modes).constant(mode.passStops).op('and', 'eqz')
  code.get(pc).access('load8', layout.attributes).constant(attribute.stopAt).op('and').constant(0).op('ne', 'and').if()
  long(layout.passes).op('eqz').get(pc)
  long(layout.passAt).op('ne', 'or').if()
  readsUndefined(code, pc)
  code.if()
  stop(reason.stopAt).op('end').op('else')
  code.constant(0)
  long(layout.passes).constant(1).op('sub').access('store', layout.passes).op('end', 'end')
  code.get(modes).op('eqz').if()
  code.get(mayInterrupt).op('eqz').if()
  code.constant(0)
  long(layout.limit)
    .op('extend')
    .constant64(40n)
    .op('shl64')
    .access('store64', layout.clock.attendFrom)
    .op('end')
    .branch('go')
    .op('end')
  code.get(modes).constant(mode.countSteps).op('and').if()
  long(layout.stepsLeft).op('eqz').if()
  stop(reason.steps).op('end')
  code.constant(0)
  long(layout.stepsLeft).constant(1).op('sub').access('store', layout.stepsLeft).op('end')
  code.get(modes).constant(mode.lowestSp).op('and').if()
  code.constant(0).access('load16', registerAt.SP)
  long(layout.lowestSp).op('lt').if().constant(0).constant(0).access('load16', registerAt.SP)
  code.access('store', layout.lowestSp).op('end', 'end')
  code.get(modes).constant(mode.trace).op('and').if()
  trace(code, registers, why)
  code.op('end').branch('go').op('end')
  exit()
  code.get(why).op('return')
}

/** The contrary of `isSpared`. */
function readsUndefined(code: Code, pc: number) {
  const [opcode, next, isStack, from, second] = [code.local(), code.local(), code.local(), code.local(), code.local()]
  const isIndexed = () => code.get(opcode).constant(0xdf).op('and').constant(0xdd).op('eq')
  const masked = (mask: number, value: number) => code.constant(mask).op('and').constant(value).op('eq')
  code.get(pc).access('load8', layout.memory).set(opcode)
  code
    .get(pc)
    .access('load8', layout.memory + 1)
    .set(next)
  code.get(next)
  masked(0xfd, 0xe1)
  code.get(next)
  masked(0xc7, 0x45)
  code.get(opcode)
  masked(0xc0, 0xc0)
  code.get(opcode).constant(0xcb).op('ne', 'and')
  code.get(opcode).constant(0xed).op('eq', 'select')
  isIndexed().op('select').set(isStack)
  code.constant(registerAt.SP)
  code.constant(registerAt.IX).get(opcode).constant(0x20).op('and').constant(4).op('shr_u', 'add')
  code.constant(registerAt.BC).constant(registerAt.DE).constant(registerAt.HL)
  code.get(opcode).constant(0x1a).op('eq', 'select')
  code.get(opcode).constant(0x0a).op('eq', 'select')
  isIndexed().op('select')
  code.get(isStack).op('select').access('load16', 0)
  code
    .get(pc)
    .access('load8s', layout.memory + 2)
    .constant(0)
  isIndexed().get(isStack).op('eqz', 'and', 'select', 'add')
  code.constant(0xffff).op('and').tee(from)
  code.get(isStack).op('add').constant(0xffff).op('and').set(second)
  code.get(from).access('load8', layout.attributes)
  code.get(second).access('load8', layout.attributes).op('or')
  code.constant(attribute.undefined).op('and')
  code.get(pc).access('load8', layout.attributes).constant(attribute.onlyForUndefined).op('and', 'eqz', 'or')
}

/** As `traceStep`. */
function trace(code: Code, { pc, clock }: Registers, at: number) {
  code.constant(layout.trace).constant(0).access('load', layout.traceAt).tee(at).constant(traceRecord.size).op('add')
  code.get(at).constant(lastRecord).op('eq', 'select').set(at)
  code.constant(0).get(at).access('store', layout.traceAt)
  // A load that is wider than the store just before it makes the host wait, so each part is read as it is written.
  const copies = [
    ...Array.from({ length: 8 }, (_, offset) => ['load8', 'store8', offset] as const),
    ['load64', 'store64', registerAt["AF'"] - layout.registers],
    ...(['IX', 'IY', 'SP', 'WZ'] as const).map(
      (pair) => ['load16', 'store16', registerAt[pair] - layout.registers] as const,
    ),
    ['load64', 'store64', layout.pc - layout.registers],
  ] as const
  for (const [load, store, offset] of copies) {
    code
      .get(at)
      .constant(0)
      .access(load, layout.registers + offset)
      .access(store, offset)
  }
  code
    .get(at)
    .get(pc)
    .access('store16', layout.pc - layout.registers)
  code.get(at)
  tOf(code, clock).access('store', traceRecord.t)
  code.get(at).constant(0).access('load8', layout.r7)
  code.get(clock).op('wrap').constant(0).access('load', layout.rBase).op('add').constant(0x7f).op('and', 'or')
  // R, no writes yet, Q, and the kind of step, in the order in which they lie.
  code.constant(0).access('load64', layout.clock.flagsAt).get(clock).op('eq64').constant(16).op('shl', 'or')
  code.access('store', traceRecord.r)
}
