import {
  attribute,
  memoryReads,
  registerParts,
  type Addr,
  type Byte,
  type MemoryReadAddress,
  type Registers,
} from '../cpu/index.ts'
import { bitsOfParts, flowPlanAt, forEachPart, type FlowPlan } from './flow-plan.ts'
import type { Machine } from './machine.ts'
import type { RunRequest } from './request.ts'
import type { UndefinedUse } from './undefined-use.ts'

/** Stops after which a run is not followed any more: it counts as hanging on chance. */
const mostStops = 400_000
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
  readonly #ends: Uint8Array
  readonly #plans = new Map<Addr, FlowPlan>()
  readonly #readRules = new Map<Addr, readonly MemoryReadAddress[]>()
  readonly #own = new Uint8Array(0x10000)
  /** By part of the registers: where its value came from. */
  readonly #labels = new Uint8Array(registerParts.length)
  readonly #secondFlags = new Uint8Array(8)
  readonly #undefinedAtStart: number
  readonly #setAt = new Float64Array(registerParts.length)
  #parts = 0
  readonly #memory = new Uint8Array(0x10000)
  /** `#memory` at the start, kept once it is about to change. */
  #ramAtStart: Uint8Array | null = null
  /** Labels of the eight flags in a byte that PUSH AF left. */
  readonly #pushedFlags = new Map<Addr, Uint8Array>()
  readonly #rewritten = new Set<Addr>()
  readonly #stored = new Set<Addr>()
  #isStackTrusted: boolean
  #pushed = 0
  #stops = 0
  #isDecisive = false

  /** Of a machine that stands at the start of a request, its marks set. Adds marks of its own. */
  constructor(machine: Machine, request: RunRequest) {
    this.#machine = machine
    const { attributes } = machine.cpu
    this.#ends = attributes.slice()
    const chance = request.given.undefined ?? { registers: [], isMemory: false, start: 0 }
    this.#undefinedAtStart = bitsOfParts(...chance.registers)
    this.#parts = this.#undefinedAtStart
    forEachPart(this.#parts, (part) => {
      this.#labels[part] = 1 + part
      this.#setAt[part] = Infinity
    })
    if ((this.#parts & (1 << secondF)) !== 0)
      for (let bit = 0; bit < 8; bit++) this.#secondFlags[bit] = secondFlag + bit
    if (chance.isMemory) this.#markMemory(request)
    for (const { kind, from, to } of request.profile.memory) {
      for (let at = from; at <= to; at++) {
        if (kind === 'ram') attributes[at] = (attributes[at] ?? 0) | attribute.unwritten
        if (((this.#ends[at] ?? 0) & attribute.stopAt) === 0) this.#mark(at)
      }
    }
    const { sp } = machine.registers()
    const above = (sp + (request.ends === 'return' ? 2 : 0)) & 0xffff
    this.#isStackTrusted = this.#memory[above] === 0
  }

  /** Whether the machine was stopped at `address` by this, and not by anything else. */
  isAt(address: Addr): boolean {
    return this.#own[address] !== 0 && ((this.#ends[address] ?? 0) & attribute.stopAt) === 0
  }

  /** Whether a run ends by itself at an address. */
  endsAt(address: Addr): boolean {
    return ((this.#ends[address] ?? 0) & attribute.stopAt) !== 0
  }

  /** Whether it would stop the machine at an address. */
  isWatching(address: Addr): boolean {
    return this.#own[address] !== 0
  }

  /** Stops following: what has been seen is all there is, and everything may hang on chance. The mark at `keep` stays. */
  giveUp(keep: Addr | null = null): void {
    this.#isDecisive = true
    for (let at = 0; at < 0x10000; at++) if (this.#own[at] !== 0 && at !== keep) this.#unmark(at)
    if (keep !== null) this.#own[keep] = 0
  }

  /** Looks at the instruction that is about to be executed. True where the machine was taken behind it. */
  look(): { readonly isRequested: boolean } | null {
    const { cpu, memory } = this.#machine
    const at = cpu.instructionAddress
    this.#stops += 1
    const plan = this.#plans.get(at) ?? this.#visit(at)
    if (plan === null || this.#stops > mostStops) {
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
    if (!isSettled) return this.#step(at)
    this.#unmark(at)
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
    const { attributes } = this.#machine.cpu
    const unwritten = attributes.slice()
    const isOverCode = [...this.#plans].some(([at, { length }]) => {
      for (let i = 0; i < length; i++) {
        const address = (at + i) & 0xffff
        const isRam = ((this.#ends[address] ?? 0) & attribute.readOnly) === 0
        if (isRam && ((unwritten[address] ?? 0) & attribute.unwritten) === 0) return true
      }
      return false
    })
    const labels = this.#labels
    const secondFlags = this.#secondFlags
    const memory = this.#memory
    const ramAtStart = this.#ramAtStart ?? memory
    const isUnwritten = (address: Addr): boolean => ((unwritten[address] ?? 0) & attribute.unwritten) !== 0
    const isSecondKept = secondFlags.every((label, bit) => label === secondFlag + bit)
    return {
      isDecisive: this.#isDecisive || isOverCode,
      isUndefined: (part) => (part === secondF ? secondFlags.some((label) => label !== 0) : labels[part] !== 0),
      isKept: (part) =>
        (this.#undefinedAtStart & (1 << part)) === 0 || (part === secondF ? isSecondKept : labels[part] === 1 + part),
      setAt: (part) => this.#setAt[part] ?? 0,
      isByteUndefined: (address) => memory[address] !== 0 && isUnwritten(address),
      wasByteUndefined: (address) => ramAtStart[address] !== 0,
      isWritten: (address) => !isUnwritten(address) || this.#rewritten.has(address),
      wasStored: (address) => this.#stored.has(address),
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

  #markMemory({ profile, image, given, ...request }: RunRequest): void {
    for (const { kind, from, to } of profile.memory) if (kind === 'ram') this.#memory.fill(ram, from, to + 1)
    const defined = (at: Addr, length: number): void => {
      for (let i = 0; i < length; i++) this.#memory[(at + i) & 0xffff] = 0
    }
    for (const { at, hex } of profile.firmware.ready) defined(at, hex.length / 2)
    for (const { start, bytes } of image.segments) defined(start, bytes.length)
    for (const { at, bytes } of given.memory) defined(at, bytes.length)
    if (request.ends === 'return') defined(this.#machine.registers().sp, 2)
  }

  /** The plan of an instruction that is executed for the first time; null where it cannot be followed. */
  #visit(at: Addr): FlowPlan | null {
    const { memory, cpu } = this.#machine
    const plan = flowPlanAt(memory, at)
    if (plan === null) return null
    for (let i = 0; i < plan.length; i++) {
      const address = (at + i) & 0xffff
      const isRam = ((this.#ends[address] ?? 0) & attribute.readOnly) === 0
      // Code that the program has made or chance has left.
      const isMade = isRam && ((cpu.attributes[address] ?? 0) & attribute.unwritten) === 0
      if (isMade || this.#memory[address] !== 0) return null
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
        if ((which & (1 << i)) !== 0 && this.#isByteUndefined(address)) labels.push(this.#memory[address] ?? mixed)
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
    this.#recall((other) => (other.reads & grown) !== 0)
    for (const { address, label, isFlags } of writes) {
      if (label !== 0) this.#store(address, label, isFlags ? flagLabels : null, registers.sp)
    }
    this.#pushed = this.#pushed === 0 ? 0 : this.#pushedNow()
    return result
  }

  /** A byte has got a value that nothing set. */
  #store(address: Addr, label: number, flagLabels: Uint8Array | null, sp: Addr): void {
    const { attributes } = this.#machine.cpu
    const bits = attributes[address] ?? 0
    if ((bits & attribute.readOnly) !== 0) return
    if (this.#isCode(address)) {
      this.giveUp()
      return
    }
    this.#ramAtStart ??= this.#memory.slice()
    this.#memory[address] = label
    attributes[address] = bits | attribute.unwritten
    this.#rewritten.add(address)
    if (flagLabels === null) this.#pushedFlags.delete(address)
    else this.#pushedFlags.set(address, flagLabels)
    const isPush = ((sp - address) & 0xffff) <= 2 && address !== sp
    if (isPush) this.#pushed += 1
    else this.#stored.add(address)
    this.#recall((other) => other.readsAt !== 'nowhere')
  }

  #pushedNow(): number {
    const { sp } = this.#machine.registers()
    let count = 0
    for (const address of this.#rewritten) if (address >= sp && this.#isByteUndefined(address)) count += 1
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
    return this.#memory[address] !== 0 && ((this.#machine.cpu.attributes[address] ?? 0) & attribute.unwritten) !== 0
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
  #recall(isWanted: (plan: FlowPlan) => boolean): void {
    if (this.#isDecisive) return
    for (const [at, plan] of this.#plans) if (isWanted(plan)) this.#mark(at)
  }

  /** Executes the instruction at `at`, whose mark stays. */
  #step(at: Addr): { readonly isRequested: boolean } {
    const isMarked = this.#own[at] !== 0
    if (isMarked) this.#unmark(at)
    const stop = this.#machine.advanceSteps(1)
    if (isMarked && !this.#isDecisive) this.#mark(at)
    return { isRequested: stop === 'requested' }
  }

  #mark(at: Addr): void {
    const { attributes } = this.#machine.cpu
    this.#own[at] = 1
    attributes[at] = (attributes[at] ?? 0) | attribute.stopAt
  }

  #unmark(at: Addr): void {
    const { attributes } = this.#machine.cpu
    this.#own[at] = 0
    if (((this.#ends[at] ?? 0) & attribute.stopAt) === 0) attributes[at] = (attributes[at] ?? 0) & ~attribute.stopAt
  }
}

function countOf(bits: number): number {
  let count = 0
  forEachPart(bits, () => (count += 1))
  return count
}
