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
import type { BoardProfile } from '../board/index.ts'
import { bitsOfParts, flowPlanAt, forEachPart, type FlowPlan } from './flow-plan.ts'
import type { Machine } from './machine.ts'
import type { RunRequest } from './request.ts'
import type { UndefinedUse } from './undefined-use.ts'

/**
 * Stops after which a run is not followed any more, so many and one more for each so many T-states: it counts as hanging on
 * chance, for to run it on other starts costs less by then. A saved register that nothing set, at each call of a routine in
 * the innermost loop, comes to this.
 */
const [mostStops, tStatesPerStop] = [3_000, 1_000]
/** Where a value came from: 0 defined, 1 + part of the registers at the start, 40 + bit of the second F, or these. */
const [secondFlag, ram, mixed] = [40, 62, 63]
const flags = 0xff
const secondF = registerParts.indexOf("F'")
/** Parts that may not hold chance: with them everything hangs on it. */
const vital = bitsOfParts('SP', 'IFF', 'I')

/**
 * Follows values that nothing set through a run. An instruction that has no part in it runs at full speed: each is looked
 * at when it is first executed, and again each time only where it may touch such a value. What it says is exact but for
 * stores over code, long runs of such values, and a byte of them that is copied: these count as hanging on chance.
 */
export class UndefinedValues {
  readonly #machine: Machine
  readonly #attributes: Uint8Array
  readonly #plans = new Map<Addr, FlowPlan>()
  readonly #readRules = new Map<Addr, readonly MemoryReadAddress[]>()
  /** 1 for each byte that is marked by this and nobody else. */
  readonly #own: Uint8Array
  /** By part of the registers: where its value came from. */
  readonly #labels = new Uint8Array(registerParts.length)
  readonly #secondFlags = new Uint8Array(8)
  readonly #undefinedAtStart: number
  readonly #setAt = new Float64Array(registerParts.length)
  #parts = 0
  readonly #ram: readonly AttributeStretch[]
  /** Attributes of RAM at the start. */
  readonly #ramAtStart: readonly Uint8Array[]
  /** Where the value of an undefined byte came from; those that are not here were so from the start. */
  readonly #byteLabels = new Map<Addr, number>()
  /** Labels of the eight flags in a byte that PUSH AF left. */
  readonly #pushedFlags = new Map<Addr, Uint8Array>()
  readonly #stored = new Set<Addr>()
  #sharedAt: Addr | null = null
  #isStackTrusted: boolean
  #pushed = 0
  #stops = 0
  #isDecisive = false
  #decisiveStep = Infinity

  /** Of a machine that stands at the start of a request, its marks set. Adds marks of its own. */
  constructor(machine: Machine, request: RunRequest) {
    this.#machine = machine
    const { attributes } = machine.cpu
    this.#attributes = attributes
    this.#own = spareMarks.get(machine) ?? new Uint8Array(0x10000)
    spareMarks.set(machine, this.#own)
    const chance = request.given.undefined ?? { registers: [], isMemory: false, start: 0 }
    this.#undefinedAtStart = bitsOfParts(...chance.registers)
    this.#parts = this.#undefinedAtStart
    forEachPart(this.#parts, (part) => {
      this.#labels[part] = 1 + part
      this.#setAt[part] = Infinity
    })
    if ((this.#parts & (1 << secondF)) !== 0)
      for (let bit = 0; bit < 8; bit++) this.#secondFlags[bit] = secondFlag + bit
    markStart(attributes, this.#own, request.profile, chance.isMemory)
    if (chance.isMemory) this.#markDefined(request)
    this.#ram = request.profile.memory.filter(({ kind }) => kind === 'ram')
    this.#ramAtStart = this.#ram.map(({ from, to }) => attributes.slice(from, to + 1))
    const { sp } = machine.registers()
    const above = (sp + (request.ends === 'return' ? 2 : 0)) & 0xffff
    this.#isStackTrusted = !this.#isByteUndefined(above)
  }

  /** Whether the machine was stopped at `address` by this, and not by anything else. */
  isAt(address: Addr): boolean {
    return this.#own[address] !== 0
  }

  /** Whether a run ends by itself at an address. */
  endsAt(address: Addr): boolean {
    return this.#own[address] === 0 && ((this.#attributes[address] ?? 0) & attribute.stopAt) !== 0
  }

  /** Where the proof of an endless loop has a mark of its own: both want to be stopped there. */
  shareMark(address: Addr | null): void {
    const before = this.#sharedAt
    if (before === address) return
    this.#sharedAt = address
    // The other has taken its mark off.
    if (before !== null && this.#own[before] !== 0) this.#mark(before)
    if (address !== null && this.#own[address] !== 0) this.#mark(address)
  }

  /** Stops following: what has been seen is all there is, and everything may hang on chance. The mark at `keep` stays. */
  giveUp(keep: Addr | null = null): void {
    this.#isDecisive = true
    this.#decisiveStep = Math.min(this.#decisiveStep, this.#machine.steps)
    for (let at = 0; at < 0x10000; at++) if (this.#own[at] !== 0 && at !== keep) this.#unmark(at)
    if (keep !== null) this.#own[keep] = 0
  }

  /** Looks at the instruction that is about to be executed. True where the machine was taken behind it. */
  look(): { readonly isRequested: boolean } | null {
    const { cpu, memory } = this.#machine
    const at = cpu.instructionAddress
    this.#stops += 1
    const plan = this.#plans.get(at) ?? this.#visit(at)
    if (plan === null || this.#stops > mostStops + this.#machine.tStates / tStatesPerStop) {
      this.giveUp()
      return null
    }
    const isPlain = (plan.reads & this.#parts) === 0
    if (isPlain && plan.readsAt === 'nowhere') {
      this.#set(plan.flow.writes & this.#parts)
      if (plan.movesStack) this.#distrust()
      this.#unmark(at)
      if (!this.#machine.board.isTimerOn) this.#passOn(at, plan)
      return null
    }
    const registers = cpu.registers()
    const reads = this.#readsOf(at, registers)
    const isClean = isPlain && reads.every((address) => !this.#isByteUndefined(address))
    if (plan.movesStack) this.#distrust()
    if (!isClean) {
      const bytes = Array.from({ length: plan.length }, (_, i) => memory[(at + i) & 0xffff] ?? 0)
      const before = { registers, bytes, read: (address: Addr): Byte => memory[address] ?? 0 }
      return this.#follow(plan, at, registers, reads, before)
    }
    this.#set(plan.flow.writes & this.#parts)
    const isSettled =
      plan.readsAt === 'fixed' || (plan.readsAt === 'stack' && this.#isStackTrusted && this.#pushed === 0)
    if (!isSettled && !this.#isLeftToEngine(at)) return this.#step(at)
    this.#unmark(at)
    // The engine sees to it that it is stopped where it would read something undefined.
    if (!isSettled) this.#mark(at, attribute.onlyForUndefined)
    return null
  }

  /** Looks ahead at what is sure to be executed next, so that the run need not be stopped there. */
  #passOn(from: Addr, first: FlowPlan): void {
    let at = from
    // Behind HALT nothing is sure.
    for (let plan = first; plan.flow.jump === null && plan.flow.text !== 'HALT';) {
      at = (at + plan.length) & 0xffff
      if (this.#own[at] === 0 || this.endsAt(at)) return
      const next = this.#plans.get(at) ?? this.#visit(at)
      if (next === null || next.readsAt !== 'nowhere' || (next.reads & this.#parts) !== 0) return
      if (next.movesStack) return
      this.#set(next.flow.writes & this.#parts)
      this.#unmark(at)
      plan = next
    }
  }

  /** What became of the values, at the end of the run. */
  use(): UndefinedUse {
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
    const labels = this.#labels
    const secondFlags = this.#secondFlags
    const isSecondKept = secondFlags.every((label, bit) => label === secondFlag + bit)
    return {
      isDecisive: this.#isDecisive || isOverCode,
      decisiveStep: isOverCode ? 0 : this.#decisiveStep,
      constants: this.#constants(),
      isUndefined: (part) => (part === secondF ? secondFlags.some((label) => label !== 0) : labels[part] !== 0),
      isKept: (part) =>
        (this.#undefinedAtStart & (1 << part)) === 0 || (part === secondF ? isSecondKept : labels[part] === 1 + part),
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
    return at !== this.#sharedAt && stopsForUndefined((offset) => this.#machine.memory[(at + offset) & 0xffff] ?? 0)
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
    registers: Registers,
    reads: readonly Addr[],
    before: Parameters<FlowPlan['flow']['memoryReads'][number]['address']>[0],
  ): { readonly isRequested: boolean } | null {
    const { flow } = plan
    const labelOf = ({ parts, reads: which }: { readonly parts: number; readonly reads: number }): number => {
      const labels: number[] = []
      forEachPart(parts & this.#parts, (part) => labels.push(this.#labels[part] ?? mixed))
      reads.forEach((address, i) => {
        if ((which & (1 << i)) !== 0 && this.#isByteUndefined(address))
          labels.push(this.#byteLabels.get(address) ?? ram)
      })
      const isCopy = plan.isMove && countOf(parts) + countOf(which) === 1
      return labels.length === 0 ? 0 : isCopy ? (labels[0] ?? mixed) : mixed
    }
    const isTouched = (parts: number, mask = -1): boolean => (parts & mask & this.#parts) !== 0
    const { jump } = flow
    const portHigh = ~bitsOfParts('A', 'B')
    if (
      flow.memoryReads.some(({ addressFrom }) => isTouched(addressFrom.parts)) ||
      flow.memoryWrites.some(({ addressFrom }) => isTouched(addressFrom.parts)) ||
      flow.portReads.some(({ addressFrom }) => isTouched(addressFrom.parts, portHigh)) ||
      flow.portWrites.some(
        ({ addressFrom, valueFrom }) => isTouched(addressFrom.parts, portHigh) || labelOf(valueFrom) !== 0,
      ) ||
      (jump !== null && (labelOf(jump.toFrom) !== 0 || (jump.when !== null && labelOf(jump.when) !== 0)))
    ) {
      this.giveUp()
      return null
    }
    const labels = new Map<number, number>()
    forEachPart(flow.writes, (part) => labels.set(part, labelOf(flow.from(part))))
    const second = plan.isExchangeOfFlags ? this.#secondFlags.slice() : null
    if (plan.isExchangeOfFlags) {
      const first = this.#labels.slice(0, 8)
      second?.forEach((label, bit) => labels.set(bit, label))
      this.#secondFlags.set(first)
      labels.set(secondF, first.some((label) => label !== 0) ? mixed : 0)
    }
    if (plan.isPopOfFlags) {
      const address = reads[0] ?? 0
      const kept = this.#isByteUndefined(address) ? this.#pushedFlags.get(address) : undefined
      kept?.forEach((label, bit) => labels.set(bit, label))
    }
    const writes = flow.memoryWrites.map(({ address, valueFrom }) => ({
      address: address(before),
      label: labelOf(valueFrom),
      isFlags: (valueFrom.parts & flags) !== 0 && (valueFrom.parts & ~flags) === 0,
    }))
    const flagLabels = this.#labels.slice(0, 8)
    const result = this.#step(at)
    let grown = 0
    for (const [part, label] of labels) {
      if (label !== 0 && ((1 << part) & vital) !== 0) this.giveUp()
      if (label !== 0 && this.#labels[part] === 0) grown |= 1 << part
      this.#label(part, label)
    }
    if (grown !== 0) {
      for (const [site, other] of this.#plans) if (((other.reads | other.flow.writes) & grown) !== 0) this.#mark(site)
    }
    for (const { address, label, isFlags } of writes) {
      if (label !== 0) this.#store(address, label, isFlags ? flagLabels : null, registers.sp)
    }
    this.#pushed = this.#pushed === 0 ? 0 : this.#pushedNow()
    return result
  }

  /** A byte has got a value that nothing set. */
  #store(address: Addr, label: number, flagLabels: Uint8Array | null, sp: Addr): void {
    const attributes = this.#attributes
    const bits = attributes[address] ?? 0
    if ((bits & attribute.readOnly) !== 0) return
    if (this.#isCode(address)) {
      this.giveUp()
      return
    }
    this.#byteLabels.set(address, label)
    attributes[address] = bits | attribute.undefined
    if (flagLabels === null) this.#pushedFlags.delete(address)
    else this.#pushedFlags.set(address, flagLabels)
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
    for (const address of this.#byteLabels.keys()) if (address >= sp && this.#isByteUndefined(address)) count += 1
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

  /** Whether a byte of RAM has been written to. */
  #isMade(address: Addr): boolean {
    return ((this.#attributes[address] ?? 0) & (attribute.unwritten | attribute.readOnly)) === 0
  }

  /** Parts that have been set to something defined. */
  #set(parts: number): void {
    if (parts !== 0) forEachPart(parts, (part) => this.#label(part, 0))
  }

  #label(part: number, label: number): void {
    this.#labels[part] = label
    if (part === secondF && label === 0) this.#secondFlags.fill(0)
    if (label === 0) {
      this.#parts &= ~(1 << part)
      if (this.#setAt[part] === Infinity) this.#setAt[part] = this.#machine.tStates
    } else this.#parts |= 1 << part
  }

  /** Instructions that have been let go are looked at again. */
  #recall(isWanted: (plan: FlowPlan, at: Addr) => boolean): void {
    if (this.#isDecisive) return
    for (const [at, plan] of this.#plans) if (this.#own[at] === 0 && isWanted(plan, at)) this.#mark(at)
  }

  /** Executes the instruction at `at`, whose mark stays. */
  #step(at: Addr): { readonly isRequested: boolean } {
    const isMarked = this.#own[at] !== 0
    if (isMarked) this.#unmark(at)
    const { cpu } = this.#machine
    const { passesLeft } = cpu
    const stop = this.#machine.advanceSteps(1)
    // Arriving counts as a pass there, though it has not begun.
    if (this.#sharedAt !== null) cpu.passAt(this.#sharedAt, passesLeft)
    if (isMarked && !this.#isDecisive) this.#mark(at)
    return { isRequested: stop === 'requested' }
  }

  #mark(at: Addr, only = 0): void {
    const attributes = this.#attributes
    const bits = (attributes[at] ?? 0) & ~attribute.onlyForUndefined
    // A byte that somebody else has marked stops the machine anyway.
    if ((bits & attribute.stopAt) !== 0 && this.#own[at] === 0 && at !== this.#sharedAt) return
    this.#own[at] = 1
    attributes[at] = bits | attribute.stopAt | (at === this.#sharedAt ? 0 : only)
  }

  #unmark(at: Addr): void {
    if (this.#own[at] === 0) return
    this.#own[at] = 0
    const attributes = this.#attributes
    attributes[at] = (attributes[at] ?? 0) & ~(attribute.stopAt | attribute.onlyForUndefined)
  }
}

interface AttributeStretch {
  readonly from: Addr
  readonly to: Addr
}

/** One for each machine: making it new for each run costs more than many a run. */
const spareMarks = new WeakMap<Machine, Uint8Array>()

/** Marks everything that may be executed and is not marked yet, and notes it in `own`. RAM is unwritten, and undefined if so. */
function markStart(attributes: Uint8Array, own: Uint8Array, { memory }: BoardProfile, isUndefined: boolean): void {
  const ofRam = attribute.unwritten | (isUndefined ? attribute.undefined : 0)
  // Four bytes at a time where memory begins and ends with whole words.
  const words = new Uint32Array(attributes.buffer, attributes.byteOffset, 0x4000)
  const ownWords = new Uint32Array(own.buffer, own.byteOffset, 0x4000)
  own.fill(0)
  for (const { kind, from, to } of memory) {
    const bits = attribute.stopAt | (kind === 'ram' ? ofRam : 0)
    const isWhole = (from & 3) === 0 && (to & 3) === 3
    const [target, noted, more, stop] = isWhole
      ? ([words, ownWords, bits * 0x01010101, attribute.stopAt * 0x01010101] as const)
      : ([attributes, own, bits, attribute.stopAt] as const)
    const [first, last] = isWhole ? [from >> 2, to >> 2] : [from, to]
    for (let i = first; i <= last; i++) {
      const before = target[i] ?? 0
      noted[i] = (~before & stop) >>> stopShift
      target[i] = before | more
    }
  }
}

/** From the bit of `stopAt` to bit 0. */
const stopShift = Math.log2(attribute.stopAt)

function countOf(bits: number): number {
  let count = 0
  forEachPart(bits, () => (count += 1))
  return count
}
