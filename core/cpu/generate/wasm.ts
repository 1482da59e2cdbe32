import { attribute } from '../cpu.ts'
import { definitions, type Definition } from '../instruction-set.ts'
import { layout, reason } from '../layout.ts'
import { acceptance } from '../table-control.ts'
import { familiesOf } from './families.ts'
import { isIgnoredPrefix, opcodeOf, pageOf } from './pages.ts'
import { shapeOf } from './shape.ts'
import { attend } from './wasm-attend.ts'
import { Code, wasmModule } from './wasm-bytes.ts'
import {
  clockOf,
  countsOf,
  enter,
  leave,
  pause,
  registersOf,
  reload,
  resume,
  tOf,
  type Registers,
} from './wasm-clock.ts'
import { busCalls, functionIndex, imports } from './wasm-host.ts'
import { instructions, page } from './wasm-instructions.ts'
import { repeats, shortcutsOf } from './wasm-shortcuts.ts'
import { Writer } from './wasm-writer.ts'

const nothing = shapeOf({ encoding: [], machineCycles: [0], effect: '' })

/** Branches to `attend` if there may be something to see before the next instruction. */
function watch(code: Code, { pc, clock }: Registers) {
  code.get(clock).constant(0).access('load64', layout.clock.attendFrom).op('ge64').branchIf('attend')
  code.get(pc).access('load8', layout.attributes).constant(attribute.stopAt).op('and').branchIf('attend')
}

/** What `fast` gives: it has to look around; the instruction at PC is not for it. */
const outcome = { attend: 0, aside: 1 } as const
/** What `careful` is to do: go on until there is a reason to stop; execute one instruction without looking around. */
const task = { all: 0, one: 1, done: 2 } as const

/**
 * Those that make up nearly all of nearly all programs. Each one more makes the first start of a process slower, and V8
 * keeps PC and clock in the host's registers only in a function of less than 83 KB of machine code (Node 20; a guard test
 * has the limit): a fifth of the speed.
 */
const isCommon = (definition: Definition): boolean =>
  !shapeOf(definition).usesPorts &&
  (definition.isDocumented || (definition.isAlias !== true && !pageOf(definition).endsWith('cb')))

/**
 * Whether `fast` has an instruction's work once for its whole family: that is two fifths less code, and a process that has
 * just begun waits less for V8 to compile it; it costs a jump. So the shortest have their own, and the most frequent.
 */
function isShared(definition: Definition): boolean {
  const { text } = definition
  const isRare = pageOf(definition) !== '' || /^(CALL|RST)/.test(text)
  return isRare && !repeats.includes(text) && shortcutsOf(text) === undefined && !text.startsWith('LD ')
}

/** How many instructions make a family worth its jump. */
const leastFamily = 3

/** The way of nearly every step: no call, no trace, no mode. */
function fastFunction(): Code {
  const code = new Code(0)
  const registers = resume(code)
  const writer = new Writer(code, registers, nothing, 'aside')
  const aside = () => code.branch('aside')
  code.block('attend').block('aside').loop('next')
  watch(code, registers)
  const families = familiesOf(
    definitions.filter((each) => !isIgnoredPrefix(each) && isCommon(each) && isShared(each)),
    leastFamily,
  )
  instructions(code, registers, writer, isCommon, families, aside, aside)
  code.op('end', 'end')
  pause(code, registers)
  code.constant(outcome.aside).op('return', 'end')
  pause(code, registers)
  code.constant(outcome.attend)
  return code
}

/** Everything: traced, counted, with writes to bytes that have attributes, and with the ports. */
function carefulFunction(): Code {
  const code = new Code(1)
  const registers = resume(code)
  const writer = new Writer(code, registers, nothing)
  code.loop('next').block('go')
  code.get(0).if()
  code.get(0).constant(task.done).op('eq').if()
  pause(code, registers)
  code.constant(reason.none).op('return', 'end')
  code.constant(task.done).set(0).branch('go').op('end')
  code.block('attend')
  watch(code, registers)
  code.branch('go').op('end')
  attend(code, registers, () => pause(code, registers))
  code.op('end')
  const unreachable = () => code.branch('next')
  instructions(
    code,
    registers,
    writer,
    () => true,
    [],
    unreachable,
    () => skipPrefix(code, registers),
  )
  code.op('end').constant(0)
  return code
}

/** All of a run in which something is to be seen at each instruction. */
function carefulRunFunction(): Code {
  const code = new Code(0)
  const registers = registersOf(code)
  enter(code, registers)
  pause(code, registers)
  code.constant(task.all).call(functionIndex.careful)
  reload(code, registers)
  leave(code, registers)
  return code
}

/** Executes one instruction, which `run` has left. */
function carefulOneFunction(): Code {
  return new Code(0).constant(task.one).call(functionIndex.careful).op('drop')
}

/**
 * Goes on with `fast` as long as that can be, and sees to what that leaves; for an instruction that only the other module
 * has it comes back with `reason.aside`. Its parameter is 1 where it goes on behind such a one.
 */
function runFunction(): Code {
  const code = new Code(1)
  const registers = registersOf(code)
  const { pc } = registers
  const writer = new Writer(code, registers, nothing)
  code.get(0).op('eqz').if()
  enter(code, registers)
  pause(code, registers)
  code.op('end')
  code.loop('next').block('go')
  code.call(functionIndex.fast)
  reload(code, registers)
  code.branchIf('go')
  attend(code, registers, () => leave(code, registers))
  code.op('end')
  pause(code, registers)
  const ports = definitions.filter((each) => pageOf(each) === '' && shapeOf(each).usesPorts)
  const handlers = new Map(
    ports.map((each) => [
      opcodeOf(each),
      () => {
        writer.instruction(shapeOf(each))
        pause(code, registers)
        code.branch('next')
      },
    ]),
  )
  code.constant(0).get(pc).access('store16', layout.lastPc)
  const aside = () => code.constant(reason.aside).op('return')
  page(code, 'ports', () => code.get(pc).access('load8', 0), handlers, aside)
  code.op('end').constant(0)
  return code
}

/** As in `typescript.ts`. */
function skipPrefix(code: Code, { pc, clock }: Registers) {
  const { prefixAt, flagsAt } = layout.clock
  const next = () => code.get(clock).constant64(clockOf(4, 1)).op('add64')
  code.constant(0).access('load64', prefixAt).get(clock).op('ne64').if()
  code.constant(0).get(pc).access('store16', layout.prefixPc).op('end')
  code.constant(0).access('load64', flagsAt).get(clock).op('eq64').if().constant(0)
  next().access('store64', flagsAt).op('end')
  code.get(pc).constant(1).op('add').set(pc)
  next().set(clock)
  code.constant(0).get(clock).access('store64', prefixAt)
  // For `instructionAddress` in a call of the bus.
  code.constant(0)
  tOf(code, clock).access('store', layout.prefixAt)
  code.constant(0)
  countsOf(code, clock).access('store', layout.prefixCounts)
  code.branch('next')
}

function acceptFunction(): Code {
  const code = new Code(1)
  const registers = registersOf(code)
  enter(code, registers)
  const writer = new Writer(code, registers, nothing)
  const lines = Object.values(acceptance).map(({ cycles, effect }) => ({
    encoding: [],
    machineCycles: cycles.split(' ').map(Number),
    effect,
  }))
  const handlers = new Map(
    lines.map((line, kind) => [
      kind,
      () => {
        writer.instruction(shapeOf(line))
        code.branch('next')
      },
    ]),
  )
  code.block('next')
  page(
    code,
    'accept',
    () => code.get(0),
    handlers,
    () => code,
  )
  code.op('end')
  leave(code, registers)
  return code
}

const pages = layout.end / 0x10000

/** The interpreter as a WebAssembly module: what nearly every run needs. */
export const wasmUsual = (): Uint8Array =>
  wasmModule(
    imports,
    [
      ...busCalls(),
      { parameters: 0, results: 1, code: fastFunction() },
      { exportName: 'run', parameters: 1, results: 1, code: runFunction() },
      { exportName: 'accept', parameters: 1, results: 0, code: acceptFunction() },
    ],
    pages,
  )

/** The rest, on the memory of the other one. A process that has just begun has no use for it, and loses no time over it. */
export const wasmCareful = (): Uint8Array =>
  wasmModule(
    imports,
    [
      ...busCalls(),
      { parameters: 1, results: 1, code: carefulFunction() },
      { exportName: 'run', parameters: 0, results: 1, code: carefulRunFunction() },
      { exportName: 'one', parameters: 0, results: 0, code: carefulOneFunction() },
    ],
    pages,
    true,
  )
