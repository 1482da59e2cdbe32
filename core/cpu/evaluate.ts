import { attend } from './attend.ts'
import { definitionOf } from './decode.ts'
import {
  applyOperator,
  readEffect,
  registerBits,
  type Expression,
  type OperandName,
  type RegisterName,
  type Statement,
} from './effect.ts'
import type { Acceptance, Engine, Host } from './engine.ts'
import type { Definition } from './instruction-set.ts'
import type { Addr, Byte, OperandByte } from './instruction.ts'
import { always, layout, registerAt, tableAt } from './layout.ts'
import { acceptance } from './table-control.ts'

/**
 * The bus in one T-state. `pins` are four places as in SingleStepTests: `r` or `-`, `w` or `-`, `m` (memory) or `-`, `i`
 * (port) or `-`; a strobe stands in one T-state only, and a byte that is read is on the bus in the one after.
 */
export interface BusState {
  readonly address: Addr
  readonly data: Byte | null
  readonly pins: string
}

type Line = Pick<Definition, 'encoding' | 'machineCycles' | 'machineCyclesNotTaken' | 'effect'>
type Step = (run: Evaluator) => void
type Value = (run: Evaluator) => number

const memoryPins = 'r-m-'
/** M1 and IORQ together acknowledge an interrupt, behind two wait states. */
const acknowledgePins = '---i'
const acknowledgeWaits = 2

const acceptanceLines = Object.fromEntries(
  Object.entries(acceptance).map(([kind, { cycles, effect }]) => [
    kind,
    { encoding: [], machineCycles: cycles.split(' ').map(Number), effect },
  ]),
) as unknown as Readonly<Record<Acceptance, Line>>

/**
 * Does instructions straight from the table, machine cycle by machine cycle, and can tell what the bus did in each
 * T-state. Slow; the interpreters made from the same table are held against it.
 */
export class Evaluator implements Engine {
  readonly bytes: Uint8Array
  readonly words: Uint16Array
  readonly longs: Int32Array
  readonly host: Host
  readonly locals = new Map<string, number>()
  readonly #listener: ((state: BusState) => void) | null
  readonly #prepared = new Map<Line, readonly Step[]>()

  pc = 0
  /** When the running instruction began, and T-states since then. */
  start = 0
  elapsed = 0
  counts = 0
  /** Bytes of the running instruction, by the name of the operand. */
  operands: Partial<Record<OperandByte, number>> = {}
  /** What the running instruction has to be remembered for. */
  changesFlags = false
  holdsInterrupts = false
  readsInterruptFlag = false
  #line: Line = acceptanceLines.nmi
  #cycles: readonly number[] = []
  #cycle = 0
  #address = 0

  /** `listener` hears of every T-state. Without `block` the machine gets memory of its own. */
  constructor(
    host: Host,
    listener: ((state: BusState) => void) | null = null,
    block: Uint8Array = new Uint8Array(layout.end),
  ) {
    this.host = host
    this.#listener = listener
    this.bytes = block
    this.words = new Uint16Array(block.buffer)
    this.longs = new Int32Array(block.buffer)
  }

  run(): number {
    this.#enter(0)
    let last = this.long(layout.lastPc)
    for (;;) {
      const t = this.start
      const why = attend(this.bytes, this.words, this.longs, this.pc, t, this.counts)
      if (why !== 0) {
        this.setLong(layout.lastPc, last)
        this.#leave()
        return why
      }
      const pc = this.pc
      last = pc
      const byteAt = (offset: number) => this.bytes[(pc + offset) & 0xffff] ?? 0
      const definition = definitionOf(byteAt)
      const isChain = definition.encoding.length === 1 && (byteAt(0) === 0xdd || byteAt(0) === 0xfd)
      if (isChain && this.long(layout.prefixAt) !== t) this.setLong(layout.prefixPc, pc)
      if (!isChain) this.counts += 0x10000
      const keepsQ = isChain && this.long(layout.flagsAt) === t
      this.#begin(definition)
      this.#fetchAll(byteAt, 1)
      this.#finish()
      if (keepsQ) this.setLong(layout.flagsAt, this.start)
      if (isChain) {
        this.setLong(layout.prefixAt, this.start)
        this.setLong(layout.prefixCounts, this.counts)
      }
    }
  }

  accept(kind: Acceptance) {
    this.#enter(0x10000)
    this.#begin(acceptanceLines[kind])
    const length = this.#nextLength()
    if (kind === 'nmi') this.#fetch(length, this.pc, this.bytes[this.pc] ?? 0)
    else {
      this.#idleAt(this.pc, acknowledgeWaits)
      this.#fetch(length - acknowledgeWaits, this.pc, this.long(layout.busByte), acknowledgePins)
    }
    this.#finish()
    this.#leave()
  }

  /**
   * Accepts an interrupt in mode 0 with any instruction on the bus. Its bytes come one by one from `next`; PC does not
   * count them. It takes two T-states more than in memory (z80-timing-other.csv).
   */
  acceptInstruction(next: () => Byte) {
    this.#enter(0x10000)
    const bytes: Byte[] = []
    const byteAt = (offset: number) => {
      while (bytes.length <= offset) bytes.push(next())
      return bytes[offset] ?? 0
    }
    this.bytes[layout.iff1] = 0
    this.bytes[layout.iff2] = 0
    this.#begin(definitionOf(byteAt))
    this.#idleAt(this.pc, acknowledgeWaits)
    this.#fetchAll(byteAt, 0, acknowledgePins)
    this.#finish()
    this.#leave()
  }

  /** `rounds` times four T-states of HALT, which do nothing but refresh. */
  waited(rounds: number) {
    if (!this.#listener) return
    const at = this.words[layout.pc >> 1] ?? 0
    this.counts = 0
    for (let round = 0; round < rounds; round++) this.#fetch(4, at, this.bytes[at] ?? 0)
  }

  long(address: number): number {
    return this.longs[address >> 2] ?? 0
  }
  setLong(address: number, value: number) {
    this.longs[address >> 2] = value
  }

  #enter(counts: number) {
    this.pc = this.words[layout.pc >> 1] ?? 0
    this.start = 0
    this.elapsed = 0
    this.counts = counts
  }

  #leave() {
    this.words[layout.pc >> 1] = this.pc
    this.setLong(layout.t, this.start)
    this.setLong(layout.counts, this.counts)
  }

  #begin(line: Line) {
    this.#line = line
    this.#cycles = line.machineCyclesNotTaken ?? line.machineCycles
    this.#cycle = 0
    this.elapsed = 0
    this.changesFlags = false
    this.holdsInterrupts = false
    this.readsInterruptFlag = false
    this.operands = {}
    this.setLong(layout.callerPc, this.pc)
    this.setLong(layout.callerT, this.start)
  }

  /** All bytes of the instruction. `pcStep` is 0 where they do not come from memory. */
  #fetchAll(byteAt: (offset: number) => Byte, pcStep: 0 | 1, firstPins = memoryPins) {
    const start = this.pc
    this.#line.encoding.forEach((placeholder, offset) => {
      const at = (start + pcStep * offset) & 0xffff
      const byte = byteAt(offset)
      const length = this.#nextLength()
      // The fourth byte of DD CB d op is read like an operand: no M1, no refresh.
      if (typeof placeholder === 'number' && offset < 3)
        this.#fetch(length, at, byte, offset === 0 ? firstPins : memoryPins)
      else this.#readCycle(length, at, byte)
      if (typeof placeholder === 'string') this.operands[placeholder] = byte
      this.pc = (at + pcStep) & 0xffff
    })
  }

  #finish() {
    const line = this.#line
    let steps = this.#prepared.get(line)
    if (!steps) this.#prepared.set(line, (steps = readEffect(line.effect).map(stepOf)))
    for (const step of steps) step(this)
    if (this.#cycle !== this.#cycles.length) throw new Error(`${line.effect}: ${this.#cycle} machine cycles done`)
    this.start += this.elapsed
    this.elapsed = 0
    if (this.changesFlags) this.setLong(layout.flagsAt, this.start)
    if (this.holdsInterrupts) this.setLong(layout.holdAt, this.start)
    if (this.readsInterruptFlag) this.setLong(layout.interruptFlagAt, this.start)
  }

  /** The condition behind `when` holds: the longer list counts; its difference so far is a wait at the end. */
  take() {
    const last = this.#cycle - 1
    this.#idleAt(this.#address, (this.#line.machineCycles[last] ?? 0) - (this.#cycles[last] ?? 0))
    this.#cycles = this.#line.machineCycles
  }

  #nextLength(): number {
    this.#cycle += 1
    return this.#cycles[this.#cycle - 1] ?? 0
  }

  #show(address: Addr, data: Byte | null, pins: string) {
    this.#address = address
    this.elapsed += 1
    this.#listener?.({ address, data, pins })
  }

  #idleAt(address: Addr, tStates: number) {
    for (let t = 0; t < tStates; t++) this.#show(address, null, '----')
  }

  #idle(tStates: number) {
    this.#idleAt(this.#address, tStates)
  }

  #fetch(length: number, at: Addr, byte: Byte, pins = memoryPins) {
    this.#show(at, null, '----')
    this.#show(at, null, pins)
    this.#refresh(length - 2, byte)
  }

  #refresh(length: number, byte: Byte) {
    this.#show(((this.bytes[layout.i] ?? 0) << 8) | this.r, byte, '----')
    this.#idle(length - 1)
    this.counts += 1
  }

  #readCycle(length: number, at: Addr, byte: Byte) {
    this.#show(at, null, '----')
    this.#show(at, null, 'r-m-')
    this.#show(at, byte, '----')
    this.#idle(length - 3)
  }

  get r(): Byte {
    return (this.bytes[layout.r7] ?? 0) | ((this.counts + this.long(layout.rBase)) & 0x7f)
  }

  idle() {
    this.#idle(this.#nextLength())
  }

  read(address: Addr): Byte {
    const length = this.#nextLength()
    const byte = this.bytes[address] ?? 0
    this.#readCycle(length, address, byte)
    return byte
  }

  write(address: Addr, value: Byte) {
    const length = this.#nextLength()
    const t = this.start + this.elapsed + 1
    if (this.bytes[layout.attributes + address] !== 0 || this.bytes[layout.tracing] !== 0)
      this.host.markedWrite(address, value, t)
    else {
      this.bytes[address] = value
      this.bytes[layout.dirty + (address >> 8)] = 1
    }
    this.#show(address, null, '----')
    this.#show(address, value, '-wm-')
    this.#show(address, null, '----')
    this.#idle(length - 3)
  }

  input(port: Addr): Byte {
    const length = this.#nextLength()
    const byte = this.host.input(port, this.start + this.elapsed + 2)
    for (const pins of ['----', '----', 'r--i']) this.#show(port, null, pins)
    this.#show(port, byte, '----')
    this.#idle(length - 4)
    return byte
  }

  output(port: Addr, value: Byte) {
    const length = this.#nextLength()
    this.host.output(port, value, this.start + this.elapsed + 2)
    for (const pins of ['----', '----']) this.#show(port, null, pins)
    this.#show(port, value, '-w-i')
    this.#idle(length - 3)
  }
}

function stepOf(statement: Statement): Step {
  switch (statement.kind) {
    case 'let': {
      const value = valueOf(statement.value)
      return (run) => run.locals.set(statement.local, value(run))
    }
    case 'set':
      return setterOf(statement.register, valueOf(statement.value))
    case 'read': {
      const address = valueOf(statement.address)
      return (run) => run.locals.set(statement.local, run.read(address(run)))
    }
    case 'input': {
      const port = valueOf(statement.address)
      return (run) => run.locals.set(statement.local, run.input(port(run)))
    }
    case 'write': {
      const [address, value] = [valueOf(statement.address), valueOf(statement.value)]
      return (run) => run.write(address(run), value(run))
    }
    case 'output': {
      const [port, value] = [valueOf(statement.address), valueOf(statement.value)]
      return (run) => run.output(port(run), value(run))
    }
    case 'if':
    case 'when': {
      const condition = valueOf(statement.condition)
      const body = statement.body.map(stepOf)
      return (run) => {
        if (condition(run) === 0) return
        if (statement.kind === 'when') run.take()
        for (const step of body) step(run)
      }
    }
    case 'idle':
      return (run) => run.idle()
    case 'halt':
      return (run) => {
        run.bytes[layout.halted] = 1
        run.setLong(layout.attendFrom, always)
      }
    case 'holdInterrupts':
      return (run) => {
        run.holdsInterrupts = true
      }
    case 'interruptFlagRead':
      return (run) => {
        run.readsInterruptFlag = true
      }
  }
}

function setterOf(register: RegisterName, value: Value): Step {
  switch (register) {
    case 'PC':
      return (run) => {
        run.pc = value(run) & 0xffff
      }
    case 'R':
      return (run) => {
        const r = value(run)
        run.bytes[layout.r7] = r & 0x80
        run.setLong(layout.rBase, r - run.counts)
      }
    case 'F':
      return (run) => {
        run.bytes[registerAt.F] = value(run)
        run.changesFlags = true
      }
    case 'Q':
      throw new Error('Q cannot be set')
    default: {
      const at = registerAt[register]
      if (registerBits[register] === 16) {
        return (run) => {
          run.words[at >> 1] = value(run)
        }
      }
      return (run) => {
        run.bytes[at] = value(run)
      }
    }
  }
}

function valueOf(expression: Expression): Value {
  switch (expression.kind) {
    case 'number':
      return () => expression.value
    case 'local':
      return (run) => run.locals.get(expression.name) ?? 0
    case 'register':
      return registerValue(expression.name)
    case 'operand':
      return operandValue(expression.name)
    case 'not': {
      const of = valueOf(expression.of)
      return (run) => Number(of(run) === 0)
    }
    case 'flags': {
      const index = valueOf(expression.index)
      const table = tableAt[expression.table]
      return (run) => run.bytes[table + index(run)] ?? 0
    }
    case 'choose': {
      const [condition, then, otherwise] = [expression.condition, expression.then, expression.otherwise].map(valueOf)
      if (!condition || !then || !otherwise) throw new Error('choose wants three values')
      return (run) => (condition(run) === 0 ? otherwise(run) : then(run))
    }
    case 'binary': {
      const [left, right] = [valueOf(expression.left), valueOf(expression.right)]
      return (run) => applyOperator(expression.operator, left(run), right(run))
    }
  }
}

function registerValue(register: RegisterName): Value {
  switch (register) {
    case 'PC':
      return (run) => run.pc
    case 'R':
      return (run) => run.r
    case 'Q':
      return (run) => (run.long(layout.flagsAt) === run.start ? (run.bytes[registerAt.F] ?? 0) : 0)
    default: {
      const at = registerAt[register]
      if (registerBits[register] === 16) return (run) => run.words[at >> 1] ?? 0
      return (run) => run.bytes[at] ?? 0
    }
  }
}

function operandValue(name: OperandName): Value {
  const signed = (byte: number) => (byte << 24) >> 24
  switch (name) {
    case 'n':
      return (run) => run.operands.n ?? 0
    case 'nn':
      return (run) => ((run.operands.nh ?? 0) << 8) | (run.operands.nl ?? 0)
    case 'd':
      return (run) => signed(run.operands.d ?? 0)
    case 'e':
      return (run) => signed(run.operands.e ?? 0)
    case 'bus':
      return (run) => run.long(layout.busByte)
  }
}
