import {
  attribute,
  memoryReads,
  registerParts,
  stopsForUndefined,
  type Addr,
  type Byte,
  type MemoryReadAddress,
  type Registers,
} from '../cpu/index.ts'
import { Comparisons, type StateBefore } from './undefined-comparisons.ts'
import { bitsOfParts, flowPlanAt, forEachPart, type FlowPlan } from './flow-plan.ts'
import { LookMarks } from './look-marks.ts'
import type { Machine } from './machine.ts'
import type { RunRequest } from './request.ts'
import { forecast, type Forecast } from './undefined-forecast.ts'
import { definedByte, Origins, ramOrigin, type ByteOrigin, type OriginsMade } from './undefined-origins.ts'
import type { UndefinedUse } from './undefined-use.ts'

/**
 * Stops after which a run is not followed any more, so many and one more for each so many T-states: it counts as hanging on
 * chance, for to run it on other starts costs less by then.
 */
const [mostStops, tStatesPerStop] = [3_000, 1_000]
/** Instructions that are looked at again until the first forecast is tried; twice as many after one that was of no use. */
const firstForecast = 8
/** A forecast that held for so many T-states was worth its cost. */
const worthwhile = 100_000
/** Looks that a run is still followed for once something hangs on chance. */
const stopsAfter = 150
const ramAtStart: ByteOrigin = { label: ramOrigin, flags: null }

/**
 * Follows values that nothing set through a run. An instruction that has no part in it runs at full speed: each is looked
 * at when it is first executed, and again each time only where it may touch such a value; where that comes to much, a
 * forecast is made for what has been executed by then. What it says is exact but for forecasts, stores over code, long runs
 * of such values, and a byte of them that is copied: these count as hanging on chance.
 */
export class UndefinedValues {
  readonly #machine: Machine
  readonly #attributes: Uint8Array
  readonly #marks: LookMarks
  readonly #plans = new Map<Addr, FlowPlan>()
  readonly #readRules = new Map<Addr, readonly MemoryReadAddress[]>()
  readonly #undefinedAtStart: number
  readonly #setAt = new Float64Array(registerParts.length)
  #origins: Origins
  readonly #ram: readonly AttributeStretch[]
  /** Attributes of RAM at the start. */
  readonly #ramAtStart: readonly Uint8Array[]
  /** Where the value of an undefined byte came from; those that are not here were so from the start. */
  readonly #byteOrigins = new Map<Addr, ByteOrigin>()
  readonly #stored = new Set<Addr>()
  #isStackTrusted: boolean
  #pushed = 0
  #stops = 0
  #isDecisive = false
  #decisiveStep = Infinity
  #decidedBy: number | null = null
  /** It is followed no more. */
  #isOver = false
  #mostStops = mostStops
  readonly #comparisons = new Comparisons()
  #forecast: Forecast | null = null
  #forecastFrom = 0
  #looksAgain = 0
  #nextForecast = firstForecast

  /** Of a machine that stands at the start of a request, its marks set. Adds marks of its own. */
  constructor(machine: Machine, request: RunRequest) {
    this.#machine = machine
    const { attributes } = machine.cpu
    this.#attributes = attributes
    const chance = request.given.undefined ?? { registers: [], isMemory: false, start: 0 }
    this.#undefinedAtStart = bitsOfParts(...chance.registers)
    this.#origins = Origins.atStart(this.#undefinedAtStart)
    forEachPart(this.#undefinedAtStart, (part) => (this.#setAt[part] = Infinity))
    this.#marks = new LookMarks(machine, request.profile, chance.isMemory)
    if (chance.isMemory) this.#markDefined(request)
    this.#ram = request.profile.memory.filter(({ kind }) => kind === 'ram')
    this.#ramAtStart = this.#ram.map(({ from, to }) => attributes.slice(from, to + 1))
    const { sp } = machine.registers()
    const above = (sp + (request.ends === 'return' ? 2 : 0)) & 0xffff
    this.#isStackTrusted = !this.#isByteUndefined(above)
  }

  /** Whether the machine was stopped at `address` by this, and not by anything else. */
  isAt(address: Addr): boolean {
    return this.#marks.has(address)
  }

  /** Whether a run ends by itself at an address. */
  endsAt(address: Addr): boolean {
    return this.#marks.endsAt(address)
  }

  /** Where the proof of an endless loop has a mark of its own: both want to be stopped there. */
  shareMark(address: Addr | null): void {
    this.#marks.share(address)
  }

  /** Stops following: what has been seen is all there is, and everything may hang on chance. The mark at `keep` stays. */
  giveUp(keep: Addr | null = null): void {
    this.#decide(null)
    this.#isOver = true
    this.#forecast = null
    this.#marks.takeOffAll(keep)
  }

  /** Looks at the instruction that is about to be executed. True where the machine was taken behind it. */
  look(): { readonly isRequested: boolean } | null {
    const { cpu, memory } = this.#machine
    const at = cpu.instructionAddress
    this.#stops += 1
    if (!this.#endForecast()) return null
    const known = this.#plans.get(at)
    const plan = known ?? this.#visit(at)
    const isTooMuch = this.#stops > this.#mostStops + (this.#isDecisive ? 0 : this.#machine.tStates / tStatesPerStop)
    if (plan === null || isTooMuch) {
      this.giveUp()
      return null
    }
    if (known !== undefined) this.#looksAgain += 1
    const isPlain = (plan.reads & this.#origins.parts) === 0
    if (isPlain && plan.readsAt === 'nowhere') {
      if (this.#looksAgain >= this.#nextForecast && this.#makeForecast(at)) return null
      this.#setDefined(plan.flow.writes)
      if (plan.movesStack) this.#distrust()
      this.#marks.takeOff(at)
      if (!this.#machine.board.isTimerOn) this.#passOn(at, plan)
      return null
    }
    const registers = cpu.registers()
    const reads = this.#readsOf(at, registers)
    const isReadDefined = reads.every((address) => !this.#isByteUndefined(address))
    const isClean = isPlain && isReadDefined
    const isForecastDue = this.#looksAgain >= this.#nextForecast && (isReadDefined || plan.readsAt !== 'anywhere')
    if (isForecastDue && this.#makeForecast(at)) return null
    if (plan.movesStack) this.#distrust()
    if (!isClean) {
      const bytes = Array.from({ length: plan.length }, (_, i) => memory[(at + i) & 0xffff] ?? 0)
      const before = { registers, bytes, read: (address: Addr): Byte => memory[address] ?? 0 }
      return this.#follow(plan, at, registers, reads, before)
    }
    this.#setDefined(plan.flow.writes)
    const isSettled =
      plan.readsAt === 'fixed' || (plan.readsAt === 'stack' && this.#isStackTrusted && this.#pushed === 0)
    if (!isSettled && !this.#isLeftToEngine(at)) return this.#step(at)
    this.#marks.takeOff(at)
    // The engine sees to it that it is stopped where it would read something undefined.
    if (!isSettled) this.#marks.add(at, attribute.onlyForUndefined)
    return null
  }

  /** Looks ahead at what is sure to be executed next, so that the run need not be stopped there. */
  #passOn(from: Addr, first: FlowPlan): void {
    let at = from
    // Behind HALT nothing is sure.
    for (let plan = first; plan.flow.jump === null && plan.flow.text !== 'HALT';) {
      at = (at + plan.length) & 0xffff
      if (!this.#marks.has(at)) return
      const next = this.#plans.get(at) ?? this.#visit(at)
      if (next === null || next.readsAt !== 'nowhere' || (next.reads & this.#origins.parts) !== 0) return
      if (next.movesStack) return
      this.#setDefined(next.flow.writes)
      this.#marks.takeOff(at)
      plan = next
    }
  }

  /** What became of the values, at the end of the run. */
  use(): UndefinedUse {
    this.#endForecast()
    const atEnd = this.#ram.map(({ from, to }) => this.#attributes.slice(from, to + 1))
    const bitsIn =
      (kept: readonly Uint8Array[]) =>
      (address: Addr): number => {
        const i = this.#ram.findIndex(({ from, to }) => address >= from && address <= to)
        return i < 0 ? attribute.unwritten : (kept[i]?.[address - (this.#ram[i]?.from ?? 0)] ?? 0)
      }
    const [bitsAtStart, bitsAtEnd] = [bitsIn(this.#ramAtStart), bitsIn(atEnd)]
    const isOverCode = [...this.#plans].some(([at, { length }]) => {
      for (let i = 0; i < length; i++) if (this.#isMade((at + i) & 0xffff)) return true
      return false
    })
    const origins = this.#origins
    return {
      isDecisive: this.#isDecisive || isOverCode,
      decisiveStep: isOverCode ? 0 : this.#decisiveStep,
      decidedBy: this.#decidedBy,
      comparisons: this.#comparisons.lastFirst(),
      constants: this.#constants(),
      sourceOf: (part) => origins.sourceOf(part),
      isUndefined: (part) => origins.isUndefined(part),
      isKept: (part) => (this.#undefinedAtStart & (1 << part)) === 0 || origins.isOwn(part),
      setAt: (part) => this.#setAt[part] ?? 0,
      isByteUndefined: (address) => (bitsAtEnd(address) & attribute.undefined) !== 0,
      wasByteUndefined: (address) => (bitsAtStart(address) & attribute.undefined) !== 0,
      isWritten: (address) => (bitsAtEnd(address) & attribute.unwritten) === 0,
      wasStored: (address) => this.#stored.has(address),
    }
  }

  #constants(): readonly Byte[] {
    const { memory } = this.#machine
    const found = [...this.#plans].flatMap(([at, { flow, length }]) => {
      const isOwn = ((this.#attributes[at] ?? 0) & attribute.readOnly) === 0
      return isOwn && /\bn$/.test(flow.text) ? [memory[(at + length - 1) & 0xffff] ?? 0] : []
    })
    return [...new Set(found.toReversed())]
  }

  /** True where the run needs no more looks until it comes to something new; the instruction at `at` is still to come. */
  #makeForecast(at: Addr): boolean {
    const { board, memory, tStates } = this.#machine
    this.#looksAgain = 0
    this.#nextForecast *= 2
    // An interrupt may come anywhere.
    if (board.isTimerOn || this.#isDecisive || this.#isOver) return false
    const made = forecast({
      ...{ at, memory, registers: this.#machine.registers(), origins: this.#origins, plans: this.#plans },
      byteOrigin: (address) => this.#originOf(address),
      isReadWatched: (site) => this.#isLeftToEngine(site),
    })
    if (made === null) return false
    this.#forecast = made
    this.#forecastFrom = tStates
    for (const site of made.sites) {
      const isPointer = this.#plans.get(site)?.readsAt === 'anywhere'
      this.#marks.takeOff(site)
      if (isPointer) this.#marks.add(site, attribute.onlyForUndefined)
    }
    for (const [site, { length }] of this.#plans) if (length > 0 && !made.sites.has(site)) this.#marks.add(site)
    if (made.hasPointerReads) this.#setAttributes(made.touched, attribute.undefined | attribute.staysUndefined)
    return true
  }

  /** Where the run has left what was foreseen; false where it is where nobody foresaw it. */
  #endForecast(): boolean {
    const made = this.#forecast
    if (made === null) return true
    this.#forecast = null
    const { cpu, tStates } = this.#machine
    const state = made.stateAt(cpu.instructionAddress, cpu.registers().sp)
    if (made.hasPointerReads) this.#setAttributes(made.touched, 0)
    if (state === null) {
      this.giveUp()
      return false
    }
    const isNew = !this.#plans.has(cpu.instructionAddress)
    if (isNew || tStates - this.#forecastFrom >= worthwhile) this.#nextForecast = firstForecast
    this.#origins = state.origins
    forEachPart(made.writes, (part) => {
      if (this.#setAt[part] === Infinity) this.#setAt[part] = tStates
    })
    for (const [address, origin] of state.bytes) {
      this.#byteOrigins.delete(address)
      if (origin.label === 0) this.#setAttributes([address], 0)
      else {
        this.#byteOrigins.set(address, origin)
        this.#setAttributes([address], attribute.undefined)
      }
    }
    for (const address of made.stored) this.#stored.add(address)
    this.#pushed = this.#pushedNow()
    for (const site of made.sites) this.#marks.add(site)
    return true
  }

  /** `undefined` and what goes with it, of bytes of RAM. */
  #setAttributes(addresses: Iterable<Addr>, bits: number): void {
    for (const address of addresses) {
      const before = this.#attributes[address] ?? 0
      if ((before & attribute.readOnly) !== 0) continue
      this.#attributes[address] = (before & ~(attribute.undefined | attribute.staysUndefined)) | bits
    }
  }

  /** Where the instruction at an address reads from, by the registers before it. */
  #readsOf(at: Addr, registers: Registers): readonly Addr[] {
    let rules = this.#readRules.get(at)
    if (rules === undefined) {
      const { memory } = this.#machine
      rules = memoryReads((offset) => memory[(at + offset) & 0xffff] ?? 0)
      this.#readRules.set(at, rules)
    }
    return rules.map(({ register, offset }) => ((register === null ? 0 : registers[register]) + offset) & 0xffff)
  }

  #isLeftToEngine(at: Addr): boolean {
    const { memory } = this.#machine
    return at !== this.#marks.sharedAt && stopsForUndefined((offset) => memory[(at + offset) & 0xffff] ?? 0)
  }

  #markDefined({ profile, image, given, ...request }: RunRequest): void {
    const attributes = this.#attributes
    const defined = (from: Addr, length: number): void => {
      for (let i = 0; i < length; i++) {
        const at = (from + i) & 0xffff
        attributes[at] = (attributes[at] ?? 0) & ~attribute.undefined
      }
    }
    for (const { at, hex } of profile.firmware.ready) defined(at, hex.length / 2)
    for (const { start, bytes } of image.segments) defined(start, bytes.length)
    for (const { at, bytes } of given.memory) defined(at, bytes.length)
    if (request.ends === 'return') defined(this.#machine.registers().sp, 2)
  }

  /** The plan of an instruction that is executed for the first time; null where it cannot be followed. */
  #visit(at: Addr): FlowPlan | null {
    const plan = flowPlanAt(this.#machine.memory, at)
    if (plan === null) return null
    for (let i = 0; i < plan.length; i++) {
      const address = (at + i) & 0xffff
      // Code that the program has made or chance has left.
      if (this.#isMade(address) || this.#isByteUndefined(address)) return null
    }
    this.#plans.set(at, plan)
    return plan
  }

  /** An instruction that takes in values that nothing set. */
  #follow(
    plan: FlowPlan,
    at: Addr,
    { sp }: Registers,
    reads: readonly Addr[],
    before: StateBefore,
  ): { readonly isRequested: boolean } | null {
    const made = this.#origins.made(plan, (index) => this.#originOf(reads[index] ?? 0))
    if (made.isUse) this.#decide(this.#origins.sourceIn(plan))
    const [read = null] = reads
    this.#comparisons.note(plan, before, this.#origins.parts, read, read !== null && this.#isByteUndefined(read))
    const addresses = plan.flow.memoryWrites.map(({ address }) => address(before))
    const result = this.#step(at)
    this.#take(made)
    made.bytes.forEach((origin, i) => {
      if (origin.label !== 0) this.#store(addresses[i] ?? 0, origin, sp)
    })
    this.#pushed = this.#pushed === 0 ? 0 : this.#pushedNow()
    return result
  }

  /** Something hangs on chance. It is followed a little further, for what the program compares with what. */
  #decide(source: number | null): void {
    if (this.#isDecisive) return
    this.#isDecisive = true
    this.#decisiveStep = this.#machine.steps
    this.#decidedBy = source
    this.#mostStops = this.#stops + stopsAfter
  }

  #take(made: OriginsMade): void {
    for (const [part, label] of made.labels) if (label === 0) this.#noteSet(part)
    const grown = this.#origins.take(made)
    if (grown === 0) return
    for (const [site, other] of this.#plans)
      if (((other.reads | other.flow.writes) & grown) !== 0) this.#marks.add(site)
  }

  /** A byte has got a value that nothing set. */
  #store(address: Addr, origin: ByteOrigin, sp: Addr): void {
    const attributes = this.#attributes
    const bits = attributes[address] ?? 0
    if ((bits & attribute.readOnly) !== 0) return
    if (this.#isCode(address)) {
      this.giveUp()
      return
    }
    this.#byteOrigins.set(address, origin)
    attributes[address] = bits | attribute.undefined
    const isPush = ((sp - address) & 0xffff) <= 2 && address !== sp
    if (isPush) this.#pushed += 1
    else this.#stored.add(address)
    // Those that read where a register points are stopped there by the engine.
    this.#recall(
      (other, at) =>
        other.readsAt === 'stack' ||
        (other.readsAt === 'fixed' && this.#readRules.get(at)?.some(({ offset }) => offset === address) === true),
    )
  }

  #pushedNow(): number {
    const { sp } = this.#machine.registers()
    let count = 0
    for (const address of this.#byteOrigins.keys()) if (address >= sp && this.#isByteUndefined(address)) count += 1
    return count
  }

  #isCode(address: Addr): boolean {
    for (let back = 0; back < 4; back++) {
      const plan = this.#plans.get((address - back) & 0xffff)
      if (plan !== undefined && plan.length > back) return true
    }
    return false
  }

  #distrust(): void {
    if (!this.#isStackTrusted) return
    this.#isStackTrusted = false
    this.#recall((plan) => plan.readsAt === 'stack')
  }

  #isByteUndefined(address: Addr): boolean {
    return ((this.#attributes[address] ?? 0) & attribute.undefined) !== 0
  }

  #originOf(address: Addr): ByteOrigin {
    return this.#isByteUndefined(address) ? (this.#byteOrigins.get(address) ?? ramAtStart) : definedByte
  }

  /** Whether a byte of RAM has been written to. */
  #isMade(address: Addr): boolean {
    return ((this.#attributes[address] ?? 0) & (attribute.unwritten | attribute.readOnly)) === 0
  }

  /** Parts that have been set to something defined. */
  #setDefined(parts: number): void {
    forEachPart(parts & this.#origins.parts, (part) => {
      this.#noteSet(part)
      this.#origins.set(part, 0)
    })
  }

  #noteSet(part: number): void {
    if (this.#setAt[part] === Infinity) this.#setAt[part] = this.#machine.tStates
  }

  /** Instructions that have been let go are looked at again. */
  #recall(isWanted: (plan: FlowPlan, at: Addr) => boolean): void {
    if (this.#isOver) return
    for (const [at, plan] of this.#plans) if (!this.#marks.has(at) && isWanted(plan, at)) this.#marks.add(at)
  }

  /** Executes the instruction at `at`, whose mark stays. */
  #step(at: Addr): { readonly isRequested: boolean } {
    const isMarked = this.#marks.has(at)
    if (isMarked) this.#marks.takeOff(at)
    const { cpu } = this.#machine
    const { passesLeft } = cpu
    const stop = this.#machine.advanceSteps(1)
    // Arriving counts as a pass there, though it has not begun.
    if (this.#marks.sharedAt !== null) cpu.passAt(this.#marks.sharedAt, passesLeft)
    if (isMarked && !this.#isOver) this.#marks.add(at)
    return { isRequested: stop === 'requested' }
  }
}

interface AttributeStretch {
  readonly from: Addr
  readonly to: Addr
}
