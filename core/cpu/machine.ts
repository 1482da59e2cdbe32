import { attendFromOf, markedStore, traceStep } from './attend.ts'
import { attribute, type Bus, type Cpu, type CpuState, type CpuStop, type Registers } from './cpu.ts'
import type { Acceptance, Engine, Host } from './engine.ts'
import { Evaluator } from './evaluate.ts'
import { flagBits } from './flags.ts'
import type { Addr, Byte, TState } from './instruction.ts'
import { always, fillTables, layout, mode, ownAttribute, reason, registerAt } from './layout.ts'
import { registersAt } from './register-record.ts'
import { TraceRing } from './trace-ring.ts'

/** T-states in one go of an engine: so many that `layout.counts` holds them. */
const longestGo = 200_000
/** From the start of an interrupt's acknowledgement to its strobe: T1, T2, two wait states. Common practice, no source. */
const acknowledgeStrobe = 3

const pairNames = ['af', 'bc', 'de', 'hl', 'af_', 'bc_', 'de_', 'hl_', 'ix', 'iy', 'sp', 'wz'] as const
const stamps = [layout.flagsAt, layout.holdAt, layout.prefixAt, layout.interruptFlagAt] as const
const acceptances: readonly Acceptance[] = ['mode0', 'mode1', 'mode2']
/** The first four bytes of memory are kept behind its end too. */
const mirroredWord = ownAttribute.mirrored * 0x01010101

/** A CPU made of one engine and a bus. What is here is the same for every engine: time, interrupts, HALT, the trace. */
export class Machine implements Cpu {
  readonly memory: Uint8Array
  readonly attributes: Uint8Array
  readonly trace: TraceRing
  steps = 0

  readonly #engine: Engine
  readonly #bus: Bus
  readonly #host: Host
  readonly #m: Uint8Array
  readonly #w: Uint16Array
  readonly #v: Int32Array
  readonly #attributeWords: Uint32Array
  /** T-states at the last entry into the engine. */
  #base: TState = 0
  /** T-states since then, while the bus is being called. */
  #sinceBase = 0
  #isInside = false
  #isStopRequested = false
  #isTracing = false

  /** `makeEngine` gets what the engine is to call; its block of bytes must be zero. */
  constructor(bus: Bus, makeEngine: (host: Host) => Engine) {
    this.#bus = bus
    const host: Host = {
      input: (port, t) => {
        this.#sinceBase = t
        return bus.readPort(port, this.#base + t)
      },
      output: (port, value, t) => {
        this.#sinceBase = t
        bus.writePort(port, value, this.#base + t)
      },
      markedWrite: (address, value, t) => this.#markedWrite(address, value, t),
    }
    this.#host = host
    this.#engine = makeEngine(host)
    const { buffer } = this.#engine.bytes
    this.#m = this.#engine.bytes
    this.#w = new Uint16Array(buffer)
    this.#v = new Int32Array(buffer)
    this.memory = new Uint8Array(buffer, layout.memory, 0x10000)
    this.attributes = new Uint8Array(buffer, layout.attributes, 0x10000)
    this.#attributeWords = new Uint32Array(buffer, layout.attributes, 0x4000)
    fillTables(this.#m)
    this.trace = new TraceRing(this.#m, this.#w, this.#v)
    this.#long(layout.shortcuts, 1)
    this.#long(layout.lowestSp, 0x10000)
    for (const stamp of stamps) this.#long(stamp, -1)
    // AF and SP read FFFFH after power-on on real parts (z80-timing-other.csv).
    this.setRegisters({ af: 0xffff, sp: 0xffff })
  }

  get tStates(): TState {
    return this.#base + this.#sinceBase
  }
  set tStates(t: TState) {
    this.#base = t
    this.#sinceBase = 0
  }

  get instructionAddress(): Addr {
    if (!this.#isInside) return this.#w[layout.pc >> 1] ?? 0
    const isPrefixed = this.#read(layout.prefixAt) === this.#read(layout.callerT)
    return this.#read(isPrefixed ? layout.prefixPc : layout.callerPc)
  }

  get lastPc(): Addr {
    return this.#lastPc
  }
  #lastPc: Addr = 0

  get lowestSp(): number {
    return this.#read(layout.lowestSp)
  }

  registers(): Registers {
    const pc = this.#isInside ? this.instructionAddress : null
    return registersAt(this.#m, this.#w, layout.registers, pc, this.#r(), this.#q())
  }

  setRegisters(some: Partial<Registers>) {
    pairNames.forEach((name, index) => {
      const value = some[name]
      if (value !== undefined) this.#w[(layout.registers >> 1) + index] = value
    })
    if (some.pc !== undefined) this.#w[layout.pc >> 1] = some.pc
    if (some.i !== undefined) this.#m[layout.i] = some.i
    if (some.r !== undefined) {
      this.#m[layout.r7] = some.r & 0x80
      this.#long(layout.rBase, some.r - this.#read(layout.counts))
    }
    if (some.im !== undefined) this.#m[layout.im] = some.im
    if (some.iff1 !== undefined) this.#m[layout.iff1] = Number(some.iff1)
    if (some.iff2 !== undefined) this.#m[layout.iff2] = Number(some.iff2)
    if (some.isHalted !== undefined) this.#m[layout.halted] = Number(some.isHalted)
    // Q is F or 0. With another F than Q the change of flags is not the last one any more.
    if (some.q !== undefined) this.#long(layout.flagsAt, some.q !== 0 ? this.#read(layout.t) : -1)
  }

  setInterruptLine(isActive: boolean) {
    this.#long(layout.interruptLine, Number(isActive))
    if (isActive) this.#long(layout.attendFrom, always)
  }

  /** For measuring: whether loops that only wait may be skipped in one go, which no program can tell. On at first. */
  setShortcuts(isOn: boolean) {
    this.#long(layout.shortcuts, Number(isOn))
  }

  requestNmi() {
    this.#long(layout.nmi, 1)
    this.#long(layout.attendFrom, always)
  }

  requestStop() {
    this.#isStopRequested = true
    this.#long(layout.limit, always)
    this.#long(layout.attendFrom, always)
  }

  reset() {
    this.setRegisters({ pc: 0, i: 0, r: 0, im: 0, iff1: false, iff2: false, isHalted: false, q: 0 })
    for (const stamp of stamps) this.#long(stamp, -1)
    this.#long(layout.nmi, 0)
  }

  run(limit: TState, stopOnHalt: boolean): CpuStop {
    return this.#go(limit, stopOnHalt, 0)
  }

  runSteps(count: number, limit: TState, stopOnHalt: boolean): CpuStop {
    let left = count
    let result: CpuStop = 'steps'
    while (result === 'steps' && left > 0) {
      const some = Math.min(left, 0x4000_0000)
      this.#long(layout.stepsLeft, some)
      result = this.#go(limit, stopOnHalt, mode.countSteps)
      left -= some
    }
    return result
  }

  passAt(address: Addr, count: number) {
    this.#long(layout.passAt, address)
    this.#long(layout.passes, count)
  }

  get passesLeft(): number {
    return this.#read(layout.passes)
  }

  step(): number {
    const start = this.tStates
    this.#long(layout.stepsLeft, 1)
    this.#go(start + 1, false, mode.countSteps | mode.passStops)
    return this.tStates - start
  }

  save(): CpuState {
    const isNow = (stamp: number) => this.#read(stamp) === this.#read(layout.t)
    return {
      registers: this.registers(),
      tStates: this.tStates,
      steps: this.steps,
      isAfterEi: isNow(layout.holdAt),
      isAfterPrefix: isNow(layout.prefixAt),
      isAfterInterruptFlag: isNow(layout.interruptFlagAt),
      isInterruptLineActive: this.#read(layout.interruptLine) !== 0,
      isNmiPending: this.#read(layout.nmi) !== 0,
    }
  }

  restore(state: CpuState) {
    const now = (isSo: boolean) => (isSo ? this.#read(layout.t) : -1)
    this.setRegisters(state.registers)
    this.tStates = state.tStates
    this.steps = state.steps
    this.#long(layout.holdAt, now(state.isAfterEi))
    this.#long(layout.prefixAt, now(state.isAfterPrefix))
    this.#long(layout.interruptFlagAt, now(state.isAfterInterruptFlag))
    this.#long(layout.interruptLine, Number(state.isInterruptLineActive))
    this.#long(layout.nmi, Number(state.isNmiPending))
    this.#long(layout.passes, 0)
    this.#lastPc = 0
  }

  takeDirtyPages(): readonly number[] {
    const pages: number[] = []
    for (let page = 0; page < 256; page++) if (this.#m[layout.dirty + page] !== 0) pages.push(page)
    this.#m.fill(0, layout.dirty, layout.dirty + 256)
    return pages
  }

  setTracing(isOn: boolean) {
    if (isOn) this.trace.clear()
    this.#isTracing = isOn
  }

  setStackWatch(isOn: boolean) {
    this.#isWatchingStack = isOn
    if (isOn) this.#long(layout.lowestSp, 0x10000)
  }
  #isWatchingStack = false

  #go(end: TState, stopOnHalt: boolean, stepModes: number): CpuStop {
    if (Number.isNaN(end)) throw new RangeError('limit: found NaN, wanted a number of T-states')
    // The engine counts in whole T-states.
    const limit = Math.ceil(end)
    const modes = stepModes | (this.#isTracing ? mode.trace : 0) | (this.#isWatchingStack ? mode.lowestSp : 0)
    this.#long(layout.mode, modes)
    this.#isStopRequested = false
    this.#long(layout.mirror, this.#read(layout.memory))
    this.#attributeWords[0] = (this.#attributeWords[0] ?? 0) | mirroredWord
    this.#m[layout.tracing] = Number(this.#isTracing)
    this.#isInside = true
    try {
      for (;;) {
        if (this.#m[layout.halted] !== 0 && stopOnHalt) return 'halted'
        if (this.tStates >= limit) return 'limit'
        if ((modes & mode.countSteps) !== 0 && this.#read(layout.stepsLeft) === 0) return 'steps'
        this.#rebase()
        const isAccepted = this.#acceptInterrupt()
        if (isAccepted) {
          // The pushes may have been watched, and the watcher may have asked to stop.
        } else if (this.#m[layout.halted] !== 0) this.#waitInHalt(limit)
        else {
          this.#enter(Math.min(longestGo, limit - this.#base))
          if (this.#why === reason.stopAt) return 'stop-at'
        }
        if (this.#isStopRequested) return 'requested'
      }
    } finally {
      this.#isInside = false
    }
  }
  #why = 0

  /** Makes the present the time that the engine counts from. */
  #rebase() {
    const t = this.#read(layout.t)
    for (const stamp of stamps) this.#long(stamp, this.#read(stamp) === t ? 0 : -1)
    this.#long(layout.rBase, (this.#read(layout.rBase) + this.#read(layout.counts)) & 0x7f)
    this.#base = this.tStates
    this.#sinceBase = 0
    this.#long(layout.t, 0)
    this.#long(layout.counts, 0)
    this.#long(layout.prefixCounts, -1)
  }

  #enter(tStates: number) {
    this.#long(layout.limit, tStates)
    this.#long(layout.attendFrom, attendFromOf(this.#m, this.#v))
    const firstRecord = this.trace.next
    this.#long(layout.lastPc, this.#lastPc)
    this.#why = this.#engine.run()
    this.#leave(firstRecord)
    const stepsSincePrefix = (this.#read(layout.counts) >>> 16) - (this.#read(layout.prefixCounts) >>> 16)
    this.#lastPc = this.#read(stepsSincePrefix === 1 ? layout.prefixPc : layout.lastPc)
  }

  /** Takes over what the engine counted. */
  #leave(firstRecord: number) {
    this.#sinceBase = this.#read(layout.t)
    const steps = this.#read(layout.counts) >>> 16
    this.steps += steps
    if (this.#isTracing) this.trace.take(firstRecord, steps, this.#base)
  }

  #acceptInterrupt(): boolean {
    if (this.#read(layout.prefixAt) === 0) return false
    const isNmi = this.#read(layout.nmi) !== 0
    const isInt =
      this.#read(layout.interruptLine) !== 0 && this.#m[layout.iff1] !== 0 && this.#read(layout.holdAt) !== 0
    if (!isNmi && !isInt) return false
    this.#countStep()
    const firstRecord = this.trace.next
    if (this.#isTracing) traceStep(this.#m, this.#w, this.#v, this.#w[layout.pc >> 1] ?? 0, 0, 0, 1)
    this.#m[layout.halted] = 0
    this.#long(layout.attendFrom, always)
    if (isNmi) {
      this.#long(layout.nmi, 0)
      this.#engine.accept('nmi')
    } else {
      if (this.#read(layout.interruptFlagAt) === 0) {
        this.#m[registerAt.F] = (this.#m[registerAt.F] ?? 0) & ~flagBits.P
      }
      this.#long(layout.callerPc, this.#w[layout.pc >> 1] ?? 0)
      this.#long(layout.callerT, always)
      const byte = this.#acknowledge()
      const im = this.#m[layout.im] ?? 0
      this.#long(layout.busByte, byte)
      // In mode 0 the byte is an instruction. A device puts RST there; any other is read from the table itself.
      if (im === 0 && (byte & 0xc7) !== 0xc7) this.#executeFromBus(byte)
      else this.#engine.accept(acceptances[im] ?? 'mode0')
    }
    this.#leave(firstRecord)
    return true
  }

  #acknowledge(): Byte {
    this.#sinceBase = acknowledgeStrobe
    return this.#bus.acknowledge(this.#base + acknowledgeStrobe)
  }

  #executeFromBus(first: Byte) {
    const evaluator = this.#engine instanceof Evaluator ? this.#engine : new Evaluator(this.#host, null, this.#m)
    let isFirst = true
    evaluator.acceptInstruction(() => {
      if (!isFirst) return this.#acknowledge()
      isFirst = false
      return first
    })
  }

  #countStep() {
    if ((this.#read(layout.mode) & mode.countSteps) !== 0) {
      this.#long(layout.stepsLeft, this.#read(layout.stepsLeft) - 1)
    }
  }

  /** HALT executes NOPs: 4 T-states and one refresh each. Nothing but an interrupt can come of it, so all go at once. */
  #waitInHalt(limit: TState) {
    let rounds = Math.min(Math.ceil((limit - this.#base) / 4), longestGo / 4)
    if ((this.#read(layout.mode) & mode.countSteps) !== 0) {
      rounds = Math.min(rounds, this.#read(layout.stepsLeft))
      this.#long(layout.stepsLeft, this.#read(layout.stepsLeft) - rounds)
    }
    const firstRecord = this.trace.next
    if (this.#isTracing) {
      for (let round = 0; round < rounds; round++) {
        traceStep(this.#m, this.#w, this.#v, this.#w[layout.pc >> 1] ?? 0, 4 * round, round, 2)
      }
    }
    this.#long(layout.t, 4 * rounds)
    this.#engine.waited?.(rounds)
    this.#long(layout.counts, 0x10001 * rounds)
    this.#leave(firstRecord)
  }

  #markedWrite(address: Addr, value: Byte, t: number) {
    if (((this.attributes[address] ?? 0) & attribute.watchWrite) !== 0) {
      this.#sinceBase = t
      this.#bus.watchedWrite(address, value, this.#base + t, this.instructionAddress)
    }
    markedStore(this.#m, this.#v, address, value)
  }

  #r(): Byte {
    return (this.#m[layout.r7] ?? 0) | ((this.#read(layout.counts) + this.#read(layout.rBase)) & 0x7f)
  }

  #q(): Byte {
    return this.#read(layout.flagsAt) === this.#read(layout.t) ? (this.#m[registerAt.F] ?? 0) : 0
  }

  #read(address: number): number {
    return this.#v[address >> 2] ?? 0
  }

  #long(address: number, value: number) {
    this.#v[address >> 2] = value
  }
}
