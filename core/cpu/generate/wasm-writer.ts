import { attribute } from '../cpu.ts'
import type { BinaryOperator } from '../effect-text.ts'
import { lowBits, registerBits, type Expression, type Statement } from '../effect.ts'
import { layout, registerAt, tableAt, type RegisterInMemory } from '../layout.ts'
import type { Filling } from './families.ts'
import { allStatements, condition, type Shape } from './shape.ts'
import type { Code, Plain } from './wasm-bytes.ts'
import { alwaysClock, clockOf, tOf, type Registers, type Stamp } from './wasm-clock.ts'
import { functionIndex } from './wasm-host.ts'

const operators = {
  ...{ '|': 'or', '^': 'xor', '&': 'and', '==': 'eq', '!=': 'ne', '<': 'lt', '>': 'gt' },
  ...{ '<<': 'shl', '>>': 'shr', '+': 'add', '-': 'sub' },
} as const satisfies Readonly<Record<BinaryOperator, Plain>>

/**
 * Writes one instruction after the other into a function. With `aside`, a label, nothing in it calls: an instruction that
 * would write to a byte with attributes goes there before it has done anything. A function with calls in it makes V8 keep
 * PC and clock in memory all the time, which costs a third of the speed.
 */
export class Writer {
  readonly #code: Code
  readonly #registers: Registers
  readonly #aside: string | null
  /** Locals with the addresses of the writes still to come. */
  #addresses: number[] = []
  #shape: Shape
  readonly #locals = new Map<string, number>()
  #used = 0

  constructor(code: Code, registers: Registers, shape: Shape, aside: string | null = null) {
    this.#code = code
    this.#registers = registers
    this.#shape = shape
    this.#aside = aside
  }

  /** Puts what an instruction has for the slots of its family where the family's common part will look for it. */
  fillSlots(fillings: readonly Filling[], shape: Shape) {
    this.#shape = shape
    this.#locals.clear()
    this.#used = 0
    fillings.forEach((filling, slot) => {
      if (filling.kind !== 'place') this.#value(condition(filling))
      else this.#addressOf(filling.register)
      this.#code.set(this.#local(`slot ${slot}`))
    })
  }

  /** All of an instruction, or the common part of a family with its `slots` filled. */
  instruction(shape: Shape, slots: readonly string[] = []) {
    this.#shape = shape
    this.#locals.clear()
    this.#used = 0
    for (const slot of slots) this.#local(slot)
    const { pc, clock } = this.#registers
    const { operands, usesPc, length, tStates, fetches, setsFlags, steps } = shape
    const code = this.#code
    for (const { name, offset } of operands) {
      code.get(pc).access(name === 'nn' ? 'load16' : name === 'n' ? 'load8' : 'load8s', offset)
      code.set(this.#local(name))
    }
    if (this.#aside !== null) this.#turnAside(this.#aside)
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

  /** Nothing changes the attributes in between, so that the writes themselves need not ask. */
  #turnAside(label: string) {
    const code = this.#code
    const { usesPorts, writesTo } = this.#shape
    if (usesPorts || writesTo === null) throw new Error('not without a call')
    this.#addresses = writesTo.map((address) => this.#kept(address))
    if (writesTo.length === 0) return
    this.#addresses.forEach((address, index) => {
      code.get(address).access('load8', layout.attributes)
      if (index > 0) code.op('or')
    })
    code.constant(~attribute.stopAt).op('and').branchIf(label)
  }

  #countPc(length: number) {
    const { pc } = this.#registers
    if (length === 0) return
    this.#code.get(pc).constant(length).op('add')
    this.#code.set(pc)
  }

  #stamp(name: Stamp) {
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
        if (this.#aside !== null) {
          this.#store(this.#addresses.shift() ?? NaN, step.value)
          break
        }
        const address = this.#kept(step.address)
        const value = this.#kept(step.value)
        code.get(address).access('load8', layout.attributes).constant(~attribute.stopAt).op('and')
        code.constant(0).access('load8', layout.tracing).op('or').if()
        code.get(address).get(value)
        this.#caller(step)
        code.call(functionIndex.marked).op('else')
        this.#store(address, step.value)
        code.op('end')
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

  #store(address: number, value: Expression) {
    const code = this.#code
    code.get(address)
    this.#value(value)
    code.access('store8', layout.memory)
    code.get(address).constant(8).op('shr_u').constant(1).access('store8', layout.dirty)
  }

  #set(step: Statement & { kind: 'set' }) {
    const { register, value } = step
    const code = this.#code
    const place = this.#shape.places.get(step)
    if (place !== undefined) {
      code.get(this.#named(place))
      this.#value(value)
      code.access(registerBits[register] === 16 ? 'store16' : 'store8', 0)
      return
    }
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
        this.#base(register)
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
        this.#base(register)
        code.access(registerBits[register] === 16 ? 'load16' : 'load8', registerAt[register])
    }
  }

  /** Puts on the stack where a register lies. */
  #addressOf(register: RegisterInMemory) {
    if (!register.startsWith('IX')) this.#code.constant(registerAt[register])
    else this.#code.get(this.#registers.index).constant(registerAt[register]).op('add')
  }

  /** Puts on the stack what is added to `registerAt`. */
  #base(register: string) {
    if (register.startsWith('IX')) this.#code.get(this.#registers.index)
    else this.#code.constant(0)
  }

  #named(name: string): number {
    const local = this.#locals.get(name)
    if (local === undefined) throw new Error(`no value ${name}`)
    return local
  }
}
