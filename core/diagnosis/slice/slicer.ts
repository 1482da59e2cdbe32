import type { Addr, Byte, DataFlow, Sources } from '../../cpu/index.ts'
import type { TraceStep } from '../../run/index.ts'
import { everyPart, interruptPart, stackPart } from './facts.ts'
import type { FlowGraph } from './flow-graph.ts'
import { HeldBack } from './held-back.ts'
import type { History } from './history.ts'
import { LiveParts } from './live-parts.ts'
import { lastPortWrite } from './port-write.ts'
import { nowhere, type Found, type Role, type Slice, type Start } from './slice.ts'
import { afterOf, beforeOf, flowOfStep } from './step-flow.ts'
import { StepsToCome, type Due } from './steps-to-come.ts'
import { busiest } from './time-spent.ts'
import { WantedBranches } from './wanted-branches.ts'

/** An instruction is looked at closely so many times; after that only its registers are followed. */
const mostCloseLooks = 64
/** Steps looked at closely in all. */
const mostSteps = 2_000
/** Instructions that are in the firmware are not told; the call that led there is. */
const callPattern = /^(CALL|RST|JP|JR)\b/

/** That a tick is lost is seldom meant: what kept it from being counted is told among the first. */
const depthOfLostTick = 1

/** What the firmware made, for the instruction that led into it. */
interface Call {
  /** What the program asked for, and which of it was made there. */
  readonly live: number
  parts: number
  readonly bytes: Set<Addr>
  readonly depth: number
  readonly after: Found['after']
}

/**
 * Goes back through a run from what is asked for: to the instruction that made it, to those that made what that one read,
 * and so on; and from each to the branch that it rests on, or that turned away from what would have made it otherwise.
 * One pass backwards, whatever the length of the run.
 */
export class Slicer {
  readonly #history: History
  readonly #graph: FlowGraph
  /** By address and bytes: a program that writes over itself has several instructions in one place. */
  readonly #found = new Map<string, Found>()
  readonly #looks = new Map<Addr, number>()
  readonly #live: LiveParts
  readonly #due = new StepsToCome()
  readonly #wanted = new WantedBranches()
  readonly #held: HeldBack
  /** The program's own instruction that led into the firmware is wanted, with what the firmware made. */
  #call: Call | null = null
  #givenParts = 0
  readonly #givenBytes = new Set<Addr>()
  readonly #inputs: TraceStep[] = []
  #closeSteps = 0
  readonly #start: Start

  constructor(history: History, graph: FlowGraph, start: Start) {
    this.#history = history
    this.#graph = graph
    this.#start = start
    // Where the stack stands is followed only if that is the question: else every call and push would have a part.
    const isAboutStack = ((start.parts ?? 0) & stackPart) !== 0
    this.#live = new LiveParts(isAboutStack ? everyPart : everyPart & ~stackPart)
    this.#held = new HeldBack(history, graph, start.step)
  }

  run(): Slice {
    const { step: end, parts = 0, bytes = [], steps = [], last = [] } = this.#start
    const t = this.#history.recording.at(end).t
    this.#live.need(parts, 0)
    for (const address of bytes) this.#needByte(address, t, 0)
    for (const { step, role, depth = 0 } of steps) this.#due.add(step, role, depth)
    for (const pc of last) this.#wanted.add(new Set([pc]), 0)
    for (let step = end; step > 0;) {
      const tick = this.#held.tickBefore(step)
      const next = this.#nextHit(step, Math.max(tick, this.#due.next))
      if (next < 0) break
      if (next === tick) {
        this.#passTick(tick)
        step = tick + 1
      } else step = this.#visit(next)
    }
    return {
      found: [...this.#found.values()],
      givenParts: this.#live.parts | this.#givenParts,
      givenBytes: [...this.#givenBytes],
      inputs: this.#inputs,
    }
  }

  #needByte(address: Addr, t: number, depth: number): void {
    if (this.#history.isRom(address)) return
    const { writes } = this.#history
    const index = writes.lastBefore(address, t)
    this.#held.openByte(address, depth)
    if (index < 0) this.#givenBytes.add(address)
    else this.#due.addWriter(this.#history.stepAt(writes.timeAt(index)), address, depth)
  }

  /** The last step before `step` that has a part, `least` if there is none after that; -1 for none at all. */
  #nextHit(step: number, least: number): number {
    const masks = this.#history.masks()
    const { parts } = this.#live
    let at = step - 1
    while (at > least) {
      if (parts === 0 && this.#wanted.isEmpty && !this.#held.isOpen && this.#call === null) return least
      const { from, pcs } = this.#history.stretch(at)
      const end = Math.max(from, least + 1)
      for (; at >= end; at--) {
        const pc = pcs[at - from] ?? 0
        const known = masks[pc] ?? -1
        const mask = known >= 0 ? known : this.#history.maskAt(pc)
        if ((mask & parts) !== 0 || this.#wanted.has(pc)) return at
        if (this.#held.branchAt(at, pc, this.#live) !== null) return at
        if (this.#call !== null && !this.#history.isRom(pc)) return at
      }
    }
    return least
  }

  /** A tick was lost: what kept interrupts off had a part in what their handler did not write. */
  #passTick(at: number): void {
    const why = this.#held.tellTick(at)
    if (why.kind === 'step') this.#due.add(why.step, 'decided', depthOfLostTick)
    else if (why.kind === 'given') this.#givenParts |= interruptPart
    else
      for (const pc of busiest(this.#history, why.from, at).slice(0, 1))
        this.#wanted.add(new Set([pc]), depthOfLostTick)
  }

  /** Looks at a step; returns the one to look before next. */
  #visit(at: number): number {
    const pc = this.#history.pcAt(at)
    const due = this.#due.take(at)
    if (due.writer !== null) this.#held.close(due.writer.bytes)
    const looks = (this.#looks.get(pc) ?? 0) + 1
    this.#looks.set(pc, looks)
    const isCall = this.#call !== null && !this.#history.isRom(pc)
    const held = this.#held.branchAt(at, pc, this.#live)
    const isSure = due.writer !== null || due.asked !== null || isCall || held !== null || looks === 1
    const isClose = isSure || (looks <= mostCloseLooks && this.#closeSteps <= mostSteps)
    if (!isClose) {
      this.#glance(at, pc)
      return at
    }
    this.#closeSteps += 1
    const step = this.#history.stepIn(at)
    if (step === undefined) return at
    const flow = flowOfStep(step)
    if (flow === null) return this.#passHalt(at, pc)
    this.#take(step, flow, due, held, looks === 1 && !this.#history.isRom(pc) ? 1 : 0)
    return at
  }

  /** An instruction met many times: its registers are followed, as its bytes were at the start. */
  #glance(at: number, pc: Addr): void {
    const flow = this.#history.flowAt(pc)
    const made = flow.writes & this.#live.parts
    const found = this.#found.get(keyOf(pc, this.#history.bytesAt(pc)))
    if (found !== undefined && made !== 0) {
      found.times += 1
      found.firstStep = at
    }
    this.#live.goBack(flow, made, 0)
    this.#wanted.fulfil(pc)
  }

  /** How near a branch is that was wished for, or that turned away from a write; null for neither. */
  #decided({ pc, kind }: TraceStep, held: number | null): number | null {
    if (kind !== 'instruction') return null
    const wished = this.#wanted.fulfil(pc)
    if (held === null) return wished
    this.#held.tell(pc)
    return Math.min(wished ?? nowhere, held)
  }

  /** `farther`: 1 where the instruction is met for the first time, so that the rounds of a loop do not count. */
  #take(step: TraceStep, flow: DataFlow, { writer, asked }: Due, held: number | null, farther: 0 | 1): void {
    const live = this.#live.parts
    const made = flow.writes & live
    const depthOfMade = this.#live.depthOf(made)
    const call = this.#callInto(step, flow)
    const decided = this.#decided(step, held)
    if (made === 0 && writer === null && asked === null && decided === null && call === null) return
    const depth = Math.min(
      depthOfMade,
      writer?.depth ?? nowhere,
      decided ?? nowhere,
      call?.depth ?? nowhere,
      asked?.depth ?? nowhere,
    )
    const before = depth + farther
    const ofMade = this.#live.goBack(flow, made, farther)
    const ofRest = this.#sourcesOf(step, flow, writer?.bytes ?? null, decided !== null, asked?.role ?? null)
    const sources = both(ofMade, ofRest)
    this.#live.need(sources.parts, before)
    const memoryRead = this.#followReads(step, flow, sources.reads, before)
    if (sources.isInput) this.#takeInput(step, flow, before)
    if (this.#history.isRom(step.pc)) {
      this.#call ??= { live, parts: 0, bytes: new Set(), depth, after: afterOf(step) }
      this.#call.parts |= made & this.#call.live
      for (const address of writer?.bytes ?? []) this.#call.bytes.add(address)
      return
    }
    if (step.kind !== 'instruction') return
    const isAskedMaker = asked?.role === 'made'
    const stored = isAskedMaker ? step.memoryWrites.map(({ address }) => address) : []
    const hasCallMade = call !== null && (call.parts !== 0 || call.bytes.size > 0)
    const isMade = made !== 0 || writer !== null || isAskedMaker || hasCallMade
    this.#add(step, isMade ? 'made' : 'decided', depth, {
      wrote: made | (call?.parts ?? 0),
      read: sources.parts,
      memoryRead,
      memoryWritten: new Set([...(writer?.bytes ?? stored), ...(call?.bytes ?? [])]),
      after: call?.after ?? afterOf(step),
    })
    this.#wanted.add(this.#graph.decidersOf(step.pc), before)
  }

  /** The wish for the call that led into the firmware, where this step is it. */
  #callInto(step: TraceStep, flow: DataFlow): Call | null {
    if (this.#call === null || this.#history.isRom(step.pc) || step.kind !== 'instruction') return null
    const call = this.#call
    this.#call = null
    return callPattern.test(flow.text) || flow.text.startsWith('RET') ? call : null
  }

  /** What a step made its part of, beside registers: the bytes that it wrote, the way that it took. */
  #sourcesOf(
    step: TraceStep,
    flow: DataFlow,
    bytes: ReadonlySet<Addr> | null,
    isDecided: boolean,
    asked: Role | null,
  ): Sources {
    const all: Sources[] = []
    if (bytes !== null || asked === 'made') {
      const before = beforeOf(step, this.#history)
      for (const write of flow.memoryWrites) {
        if (bytes !== null && !bytes.has(write.address(before))) continue
        all.push(write.valueFrom, write.addressFrom)
      }
    }
    if (asked === 'made') {
      for (const write of flow.portWrites) {
        all.push(write.valueFrom, write.addressFrom)
      }
    }
    if ((isDecided || asked !== null) && flow.jump !== null) {
      if (flow.jump.when !== null) all.push(flow.jump.when)
      if (asked !== null) all.push(flow.jump.toFrom)
    }
    return all.reduce(both, nothing)
  }

  /** A key is read from the column that was selected: what the keypad gave rests on the port write before. */
  #takeInput(step: TraceStep, flow: DataFlow, depth: number): void {
    this.#inputs.push(step)
    const { keypad, display } = this.#history.request.profile
    const before = beforeOf(step, this.#history)
    for (const { address, addressFrom } of flow.portReads) {
      this.#live.need(addressFrom.parts, depth)
      if ((address(before) & 0xff) !== keypad.rowPort) continue
      const select = lastPortWrite(this.#history.recording, display.selectPort, step.t)
      if (select !== null) this.#due.add(this.#history.stepAt(select.t), 'made', depth)
    }
  }

  /** Wants the bytes that were read, and what their addresses are made of. */
  #followReads(step: TraceStep, flow: DataFlow, reads: number, depth: number): Set<Addr> {
    const addresses = new Set<Addr>()
    if (reads === 0) return addresses
    const before = beforeOf(step, this.#history)
    for (const [i, read] of flow.memoryReads.entries()) {
      if (((reads >> i) & 1) === 0) continue
      const address = read.address(before)
      addresses.add(address)
      this.#live.need(read.addressFrom.parts, depth)
      this.#needByte(address, step.t, depth)
    }
    return addresses
  }

  #add(
    step: TraceStep,
    role: Role,
    depth: number,
    rest: Pick<Found, 'wrote' | 'read' | 'memoryRead' | 'memoryWritten' | 'after'>,
  ): void {
    const key = keyOf(step.pc, step.bytes)
    const known = this.#found.get(key)
    if (known === undefined) {
      const { pc, step: firstStep } = step
      this.#found.set(key, { pc, step, role, depth, ...rest, times: 1, firstStep })
      return
    }
    known.times += 1
    known.firstStep = step.step
    if (known.role === 'decided' && role === 'made') this.#found.set(key, { ...known, role })
  }

  /** Steps in which the CPU waited in HALT stand at the instruction behind it, which did nothing then. */
  #passHalt(at: number, pc: Addr): number {
    const least = this.#due.next + 1
    let step = at
    while (step > least && this.#history.pcAt(step - 1) === pc) step -= 1
    this.#looks.set(pc, 0)
    return step
  }
}

const nothing: Sources = { parts: 0, reads: 0, isInput: false }

function both(a: Sources, b: Sources): Sources {
  return { parts: a.parts | b.parts, reads: a.reads | b.reads, isInput: a.isInput || b.isInput }
}

function keyOf(pc: Addr, bytes: readonly Byte[]): string {
  return `${pc} ${bytes.join(' ')}`
}
