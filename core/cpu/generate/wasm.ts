import { longestChain } from '../attend.ts'
import { attribute } from '../cpu.ts'
import type { BinaryOperator } from '../effect-text.ts'
import { lowBits, registerBits, type Expression, type Statement } from '../effect.ts'
import { definitions } from '../instruction-set.ts'
import { always, layout, mode, ownAttribute, reason, registerAt, tableAt, traceRecord } from '../layout.ts'
import { acceptance } from '../table-control.ts'
import { isIgnoredPrefix, opcodeOf, pageOf } from './pages.ts'
import { allStatements, condition, shapeOf, type Shape } from './shape.ts'
import { Code, wasmModule, type Plain } from './wasm-bytes.ts'

const imports = [
  { name: 'input', parameters: 2, results: 1 },
  { name: 'output', parameters: 3, results: 0 },
  { name: 'markedWrite', parameters: 3, results: 0 },
] as const
const functionIndex = {
  input: 0,
  output: 1,
  markedWrite: 2,
  run: 3,
  accept: 4,
  callIn: 5,
  callOut: 6,
  marked: 7,
} as const

const operators = {
  ...{ '|': 'or', '^': 'xor', '&': 'and', '==': 'eq', '!=': 'ne', '<': 'lt', '>': 'gt' },
  ...{ '<<': 'shl', '>>': 'shr', '+': 'add', '-': 'sub' },
} as const satisfies Readonly<Record<BinaryOperator, Plain>>

/** Everything per moment is in one number, the clock (`layout.clock`): what is added to it by T-states and fetches. */
const clockOf = (tStates: number, fetches: number, instructions = 0): bigint =>
  (BigInt(tStates) << 40n) | (BigInt(instructions) << 20n) | BigInt(fetches)
const alwaysClock = -(1n << 63n)
const stamps = ['flagsAt', 'holdAt', 'prefixAt', 'interruptFlagAt'] as const

/** The locals of an interpreting function; all else stays in memory, which is faster than more locals are. */
interface Registers {
  readonly pc: number
  readonly clock: number
  /** For the named values of an instruction; the next one uses them again. */
  readonly free: number[]
}

/** Writes one instruction after the other into a function. */
class Writer {
  readonly #code: Code
  readonly #registers: Registers
  #shape: Shape
  readonly #locals = new Map<string, number>()
  #used = 0

  constructor(code: Code, registers: Registers, shape: Shape) {
    this.#code = code
    this.#registers = registers
    this.#shape = shape
  }

  instruction(shape: Shape) {
    this.#shape = shape
    this.#locals.clear()
    this.#used = 0
    const { pc, clock } = this.#registers
    const { operands, usesPc, length, tStates, fetches, setsFlags, steps } = shape
    const code = this.#code
    for (const { name, offset } of operands) {
      code.get(pc).access(name === 'nn' ? 'load16' : name === 'n' ? 'load8' : 'load8s', offset)
      code.set(this.#local(name))
    }
    if (usesPc) this.#countPc(length)
    this.#body(steps)
    if (!usesPc) this.#countPc(length)
    code
      .get(clock)
      .constant64(clockOf(tStates, fetches, 1))
      .op('add64')
      .set(clock)
    if (setsFlags) this.#stamp('flagsAt')
    for (const step of allStatements(steps)) {
      if (step.kind === 'holdInterrupts') this.#stamp('holdAt')
      if (step.kind === 'interruptFlagRead') this.#stamp('interruptFlagAt')
    }
  }

  #countPc(length: number) {
    const { pc } = this.#registers
    if (length === 0) return
    this.#code.get(pc).constant(length).op('add')
    this.#code.set(pc)
  }

  #stamp(name: (typeof stamps)[number]) {
    this.#code.constant(0).get(this.#registers.clock).access('store64', layout.clock[name])
  }

  #local(name: string): number {
    const { free } = this.#registers
    const local = free[this.#used] ?? this.#code.local()
    free[this.#used] = local
    this.#used += 1
    this.#locals.set(name, local)
    return local
  }

  #body(steps: readonly Statement[]) {
    for (const step of steps) this.#step(step)
  }

  #step(step: Statement) {
    const code = this.#code
    const { clock } = this.#registers
    switch (step.kind) {
      case 'let':
        this.#value(step.value)
        code.set(this.#local(step.local))
        break
      case 'set':
        this.#set(step)
        break
      case 'read':
        this.#value(step.address)
        code.access('load8', 0).set(this.#local(step.local))
        break
      case 'input':
        this.#value(step.address)
        this.#caller(step)
        code.call(functionIndex.callIn).set(this.#local(step.local))
        break
      case 'output':
        this.#value(step.address)
        this.#value(step.value)
        this.#caller(step)
        code.call(functionIndex.callOut)
        break
      case 'write': {
        const address = this.#kept(step.address)
        const value = this.#kept(step.value)
        code.get(address).access('load8', layout.attributes).if()
        code.get(address).get(value)
        this.#caller(step)
        code.call(functionIndex.marked).op('else')
        code.get(address).get(value).access('store8', layout.memory)
        code.get(address).constant(8).op('shr_u').constant(1).access('store8', layout.dirty).op('end')
        break
      }
      case 'halt':
        code.constant(0).constant(1).access('store8', layout.halted)
        code.constant(0).constant64(alwaysClock).access('store64', layout.clock.attendFrom)
        break
      case 'if':
      case 'when':
        this.#value(condition(step.condition))
        code.if()
        this.#body(step.body)
        if (step.kind === 'when') code.get(clock).constant64(clockOf(this.#shape.tStatesMore, 0)).op('add64').set(clock)
        code.op('end')
        break
      case 'idle':
      case 'holdInterrupts':
      case 'interruptFlagRead':
        break
    }
  }

  #set({ register, value }: Statement & { kind: 'set' }) {
    const code = this.#code
    switch (register) {
      case 'PC':
        this.#value(lowBits(value, 16))
        code.set(this.#registers.pc)
        break
      case 'R': {
        const r = this.#kept(value)
        code.constant(0).get(r).constant(0x80).op('and').access('store8', layout.r7)
        code
          .constant(0)
          .get(r)
          .get(this.#registers.clock)
          .op('wrap')
          .constant(this.#shape.fetches)
          .op('add', 'sub')
          .access('store', layout.rBase)
        break
      }
      case 'Q':
        throw new Error('Q cannot be set')
      default:
        code.constant(0)
        this.#value(value)
        code.access(registerBits[register] === 16 ? 'store16' : 'store8', registerAt[register])
    }
    if (register === 'IFF1') {
      code.constant(0).access('load', layout.interruptLine).if()
      code.constant(0).constant64(alwaysClock).access('store64', layout.clock.attendFrom).op('end')
    }
  }

  /** A local that holds the value. */
  #kept(expression: Expression): number {
    const known = expression.kind === 'local' ? this.#locals.get(expression.name) : undefined
    if (known !== undefined) return known
    this.#value(expression)
    const local = this.#local(`kept ${this.#used}`)
    this.#code.set(local)
    return local
  }

  /** Strobe, start and address of the instruction, as the calls of the bus want them. */
  #caller(step: Statement) {
    const { pc, clock } = this.#registers
    const { strobeAt, usesPc, length } = this.#shape
    tOf(this.#code, clock)
      .constant(strobeAt.get(step) ?? 0)
      .op('add')
    tOf(this.#code, clock).get(pc)
    if (usesPc && length > 0) this.#code.constant(length).op('sub').constant(0xffff).op('and')
  }

  #value(expression: Expression) {
    const code = this.#code
    switch (expression.kind) {
      case 'number':
        code.constant(expression.value)
        break
      case 'local':
        code.get(this.#named(expression.name))
        break
      case 'operand':
        if (expression.name === 'bus') code.constant(0).access('load', layout.busByte)
        else code.get(this.#named(expression.name))
        break
      case 'register':
        this.#register(expression.name)
        break
      case 'not':
        this.#value(condition(expression.of))
        code.op('eqz')
        break
      case 'flags':
        this.#value(expression.index)
        code.access('load8', tableAt[expression.table])
        break
      case 'choose':
        this.#value(expression.then)
        this.#value(expression.otherwise)
        this.#value(condition(expression.condition))
        code.op('select')
        break
      case 'binary':
        // A sum that is cut to 16 bits may begin with a PC that is not.
        if (expression.left.kind === 'register' && expression.left.name === 'PC' && expression.operator === '+') {
          code.get(this.#registers.pc)
        } else this.#value(expression.left)
        this.#value(expression.right)
        code.op(operators[expression.operator])
        break
    }
  }

  #register(register: keyof typeof registerBits) {
    const code = this.#code
    const { pc, clock } = this.#registers
    switch (register) {
      case 'PC':
        code.get(pc).constant(0xffff).op('and')
        break
      case 'R':
        code.constant(0).access('load8', layout.r7)
        code.get(clock).op('wrap').constant(this.#shape.fetches).op('add')
        code.constant(0).access('load', layout.rBase).op('add').constant(0x7f).op('and', 'or')
        break
      case 'Q':
        code.constant(0).access('load8', registerAt.F).constant(0)
        code.constant(0).access('load64', layout.clock.flagsAt).get(clock).op('eq64', 'select')
        break
      default:
        code.constant(0).access(registerBits[register] === 16 ? 'load16' : 'load8', registerAt[register])
    }
  }

  #named(name: string): number {
    const local = this.#locals.get(name)
    if (local === undefined) throw new Error(`no value ${name}`)
    return local
  }
}

/** Puts the T-states of the clock on the stack. */
const tOf = (code: Code, clock: number): Code => code.get(clock).constant64(40n).op('shr64', 'wrap')

/** Puts the counts of the clock on the stack as `layout.counts` has them. */
const countsOf = (code: Code, clock: number): Code =>
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

/** Takes over the words of `layout` whose moments the interpreter keeps as clocks. */
function enter(code: Code): Registers {
  const registers = { pc: code.local(), clock: code.local('i64'), free: [] }
  code.constant(0).access('load16', layout.pc).set(registers.pc)
  code.constant(0).constant(0).access('load', layout.attendFrom).op('extend').constant64(40n).op('shl64')
  code.access('store64', layout.clock.attendFrom)
  for (const name of stamps) {
    code.constant(0).constant(0).access('load', layout[name]).op('extend').access('store64', layout.clock[name])
  }
  return registers
}

/** Gives the words back. */
function leave(code: Code, { pc, clock }: Registers) {
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

/** The opcodes of one page behind a jump table; `opcode` puts the index on the stack. */
function page(
  code: Code,
  name: string,
  opcode: () => void,
  handlers: ReadonlyMap<number, () => void>,
  rest: () => void,
) {
  const numbers = [...handlers.keys()].sort((a, b) => a - b)
  const label = (opcodeNumber: number) => `${name} ${handlers.has(opcodeNumber) ? opcodeNumber : 'rest'}`
  code.block(`${name} rest`)
  for (const number of numbers.toReversed()) code.block(label(number))
  opcode()
  code.table(
    Array.from({ length: 256 }, (_, number) => label(number)),
    `${name} rest`,
  )
  for (const number of numbers) {
    code.op('end')
    handlers.get(number)?.()
    code.branch('next')
  }
  code.op('end')
  rest()
}

function runFunction(): Code {
  const code = new Code(0)
  const registers = enter(code)
  const { pc, clock } = registers
  const writer = new Writer(code, registers, shapeOf({ encoding: [], machineCycles: [0], effect: '' }))
  const handlersOf = (name: string) =>
    new Map<number, () => void>(
      definitions
        .filter((each) => pageOf(each) === name && !isIgnoredPrefix(each))
        .map((each) => [opcodeOf(each), () => writer.instruction(shapeOf(each))]),
    )
  const second = () => code.get(pc).access('load8', 1)
  const fourth = () => code.get(pc).access('load8', 3)
  const unreachable = () => code.branch('next')

  const prefixed = (name: 'dd' | 'fd') => () => {
    const handlers = handlersOf(name)
    handlers.set(0xcb, () => page(code, `${name}cb`, fourth, handlersOf(`${name}cb`), unreachable))
    page(code, name, second, handlers, () => skipPrefix(code, registers))
  }
  const base = handlersOf('')
  base.set(0xcb, () => page(code, 'cb', second, handlersOf('cb'), unreachable))
  base.set(0xed, () => page(code, 'ed', second, handlersOf('ed'), unreachable))
  base.set(0xdd, prefixed('dd'))
  base.set(0xfd, prefixed('fd'))

  code.loop('next').block('go')
  code.block('attend').get(clock).constant(0).access('load64', layout.clock.attendFrom).op('ge64').branchIf('attend')
  code.get(pc).access('load8', layout.attributes).constant(attribute.stopAt).op('and', 'eqz').branchIf('go').op('end')
  attend(code, registers)
  code.op('end')
  code.constant(0).get(pc).access('store16', layout.lastPc)
  page(code, 'base', () => code.get(pc).access('load8', 0), base, unreachable)
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

/** The same as `attend.ts`, in place: branches to `go`, or leaves the function with a reason. */
function attend(code: Code, registers: Registers) {
  const { pc, clock } = registers
  const t = code.local()
  const why = code.local()
  const modes = code.local()
  const mayInterrupt = code.local()
  const long = (at: number) => code.constant(0).access('load', at)
  const stop = (because: number) => code.constant(because).set(why).branch('stop')
  code.get(pc).constant(0xffff).op('and').set(pc)
  tOf(code, clock).set(t)
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
  stop(reason.stopAt).op('end')
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
  leave(code, registers)
  code.get(why).op('return')
}

/** As `traceStep`. */
function trace(code: Code, { pc, clock }: Registers, at: number) {
  code.constant(0).access('load', layout.traceNext).set(at)
  for (let offset = 0; offset < 32; offset += 8) {
    code
      .get(at)
      .constant(0)
      .access('load64', layout.registers + offset)
      .access('store64', offset)
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
  code.constant(0).get(at).access('store', layout.traceAt)
  code.constant(0)
  code.constant(layout.trace).get(at).constant(traceRecord.size).op('add').tee(at).get(at)
  code
    .constant(layout.trace + layout.traceRecords * traceRecord.size)
    .op('eq', 'select')
    .access('store', layout.traceNext)
}

function acceptFunction(): Code {
  const code = new Code(1)
  const registers = enter(code)
  const writer = new Writer(code, registers, shapeOf({ encoding: [], machineCycles: [0], effect: '' }))
  const lines = Object.values(acceptance).map(({ cycles, effect }) => ({
    encoding: [],
    machineCycles: cycles.split(' ').map(Number),
    effect,
  }))
  const handlers = new Map(lines.map((line, kind) => [kind, () => writer.instruction(shapeOf(line))]))
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

/** Notes who calls: parameters `strobe`, `t` and `pc` from `first` on. */
function noteCaller(code: Code, first: number) {
  code
    .constant(0)
    .get(first + 1)
    .access('store', layout.callerT)
  code
    .constant(0)
    .get(first + 2)
    .access('store', layout.callerPc)
}

/** The bus may have asked for attention. */
function heed(code: Code): Code {
  code.constant(0).access('load', layout.attendFrom).constant(always).op('eq').if()
  return code.constant(0).constant64(alwaysClock).access('store64', layout.clock.attendFrom).op('end')
}

function callIn(): Code {
  const code = new Code(4)
  noteCaller(code, 1)
  return heed(code.get(0).get(1).call(functionIndex.input))
}

function callOut(): Code {
  const code = new Code(5)
  noteCaller(code, 2)
  return heed(code.get(0).get(1).get(2).call(functionIndex.output))
}

/** A write to a byte with attributes: here if all it wants is to be in the trace, else `Host.markedWrite`. */
function marked(): Code {
  const [address, value, strobe] = [0, 1, 2]
  const code = new Code(5)
  const record = code.local()
  const count = code.local()
  const at = code.local()
  code.get(address).access('load8', layout.attributes).constant(~attribute.stopAt).op('and')
  code.constant(ownAttribute.traced).op('eq').if()
  code.constant(0).access('load', layout.traceAt).tee(record).get(record).access('load8', traceRecord.writes).tee(count)
  code.constant(2).op('shl', 'add').set(at)
  code.get(at).get(address).access('store16', traceRecord.write)
  code
    .get(at)
    .get(address)
    .access('load8', layout.memory)
    .access('store8', traceRecord.write + 2)
  code
    .get(at)
    .get(value)
    .access('store8', traceRecord.write + 3)
  code.get(record).get(count).constant(1).op('add').access('store8', traceRecord.writes)
  code.get(address).get(value).access('store8', layout.memory)
  code.get(address).constant(8).op('shr_u').constant(1).access('store8', layout.dirty)
  code.op('else')
  noteCaller(code, strobe)
  code.get(address).get(value).get(strobe).call(functionIndex.markedWrite)
  heed(code).op('end')
  return code
}

/** The interpreter as a WebAssembly module. */
export const wasmInterpreter = (): Uint8Array =>
  wasmModule(
    imports,
    [
      { exportName: 'run', parameters: 0, results: 1, code: runFunction() },
      { exportName: 'accept', parameters: 1, results: 0, code: acceptFunction() },
      { parameters: 4, results: 1, code: callIn() },
      { parameters: 5, results: 0, code: callOut() },
      { parameters: 5, results: 0, code: marked() },
    ],
    layout.end / 0x10000,
  )
