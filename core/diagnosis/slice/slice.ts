import {
  interruptFlow,
  type Addr,
  type Byte,
  type DataFlow,
  type Registers,
  type Sources,
  type TState,
} from '../../cpu/index.ts'
import type { TraceStep } from '../../run/index.ts'
import { flowFrom, type History } from './history.ts'
import { lastPortWrite } from './port-write.ts'
import type { FlowGraph } from './flow-graph.ts'

/** An instruction with a part in the slice, as found so far. */
export interface Found {
  readonly pc: Addr
  /** The last time it had one. */
  readonly step: TraceStep
  readonly role: 'made' | 'decided'
  /** What it made that went in, and what it made it of. */
  wrote: number
  read: number
  readonly memoryRead: Set<Addr>
  readonly memoryWritten: Set<Addr>
  /** When it had made that: behind the step, or where the firmware that it called had. */
  readonly after: { readonly registers: Registers; readonly t: TState }
  times: number
  firstStep: number
  /** How many instructions lie between it and what was asked for. */
  readonly depth: number
}

/** What a question begins with: the values asked for, before `step`, and the instructions themselves that it is about. */
export interface Start {
  readonly step: number
  readonly parts?: number
  readonly bytes?: readonly Addr[]
  /** Steps that have a part whatever they do. */
  readonly steps?: readonly { readonly step: number; readonly role: Found['role']; readonly depth?: number }[]
  /** Instructions whose last time before `step` has a part: branches above all. */
  readonly last?: readonly Addr[]
  /** Nothing wrote what was asked for; the slice is of what came nearest. */
  readonly isMissed?: boolean
}

export interface Slice {
  readonly found: readonly Found[]
  /** What was in the registers and in memory at the start and went in. */
  readonly givenParts: number
  readonly givenBytes: readonly Addr[]
  readonly inputs: readonly TraceStep[]
}

/** An instruction is looked at closely so many times; after that only its registers are followed. */
const mostCloseLooks = 64
/** Steps looked at closely in all. */
const mostSteps = 2_000
/** Instructions that are in the firmware are not told; the call that led there is. */
const callPattern = /^(CALL|RST|JP|JR)\b/

interface Wanted {
  readonly decidedBy: ReadonlySet<Addr>
  readonly depth: number
}

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
 * and so on; and from each to the branch that it rests on. One pass backwards, whatever the length of the run.
 */
export class Slicer {
  readonly #history: History
  readonly #graph: FlowGraph
  /** By address and bytes: a program that writes over itself has several instructions in one place. */
  readonly #found = new Map<string, Found>()
  readonly #looks = new Map<Addr, number>()
  #live = 0
  readonly #depths = new Int32Array(31).fill(1_000)
  /** Bytes of memory wanted, by the step that wrote them. */
  readonly #writers = new Map<number, { readonly bytes: Set<Addr>; depth: number }>()
  readonly #steps = new Map<number, { readonly role: Found['role']; readonly depth: number }>()
  #nextSteps: number[] = []
  #wanted: Wanted[] = []
  readonly #isWanted = new Uint8Array(0x10000)
  /** The program's own instruction that led into the firmware is wanted, with what the firmware made. */
  #call: Call | null = null
  readonly #givenBytes = new Set<Addr>()
  readonly #inputs: TraceStep[] = []
  #closeSteps = 0
  /** Parts that a branch may have kept from being made otherwise, by its address; only its last time counts. */
  readonly #kept = new Int32Array(0x10000)
  readonly #keptStores = new Uint8Array(0x10000)
  #openBytes = 0

  constructor(history: History, graph: FlowGraph) {
    this.#history = history
    this.#graph = graph
    for (const [pc, { parts, isStore }] of graph.skipped) {
      this.#kept[pc] = parts
      this.#keptStores[pc] = Number(isStore)
    }
  }

  run(start: Start): Slice {
    const t = this.#history.recording.at(start.step).t
    this.#need(start.parts ?? 0, 0)
    for (const address of start.bytes ?? []) this.#needByte(address, t, 0)
    this.#openBytes = start.isMissed === true ? 1 : this.#writers.size
    for (const { step, role, depth = 0 } of start.steps ?? []) {
      this.#steps.set(step, { role, depth })
      this.#push(step)
    }
    for (const pc of start.last ?? []) this.#want(new Set([pc]), 0)
    let step = start.step
    while (step > 0) {
      const next = this.#nextHit(step)
      if (next < 0) break
      step = this.#visit(next)
    }
    return {
      found: [...this.#found.values()],
      givenParts: this.#live,
      givenBytes: [...this.#givenBytes],
      inputs: this.#inputs,
    }
  }

  #need(parts: number, depth: number): void {
    this.#live |= parts
    for (let rest = parts; rest !== 0; rest &= rest - 1) {
      const part = 31 - Math.clz32(rest & -rest)
      this.#depths[part] = Math.min(this.#depths[part] ?? depth, depth)
    }
  }

  #needByte(address: Addr, t: number, depth: number): void {
    const { writes } = this.#history
    const index = this.#history.isRom(address) ? -1 : writes.lastBefore(address, t)
    if (index < 0) {
      if (!this.#history.isRom(address)) this.#givenBytes.add(address)
      return
    }
    const step = this.#history.stepAt(writes.timeAt(index))
    const known = this.#writers.get(step)
    if (known === undefined) {
      this.#writers.set(step, { bytes: new Set([address]), depth })
      this.#push(step)
    } else {
      known.bytes.add(address)
      known.depth = Math.min(known.depth, depth)
    }
  }

  /** Keeps the list of steps to come to in rising order. */
  #push(step: number): void {
    let at = this.#nextSteps.length
    while (at > 0 && (this.#nextSteps[at - 1] ?? 0) > step) at -= 1
    if (this.#nextSteps[at - 1] !== step) this.#nextSteps.splice(at, 0, step)
  }

  #want(decidedBy: ReadonlySet<Addr>, depth: number): void {
    if (decidedBy.size === 0) return
    const isKnown = this.#wanted.some((each) => isSameSet(each.decidedBy, decidedBy))
    if (isKnown) return
    this.#wanted.push({ decidedBy, depth })
    for (const pc of decidedBy) this.#isWanted[pc] = 1
  }

  /** The last step before `step` that has a part; -1 where there is none. */
  #nextHit(step: number): number {
    const least = this.#nextSteps.at(-1) ?? -1
    const masks = this.#history.masks()
    let at = step - 1
    while (at > least) {
      const isNothing = this.#live === 0 && this.#wanted.length === 0 && this.#openBytes === 0
      if (isNothing && this.#call === null) return least
      const { from, pcs } = this.#history.stretch(at)
      const end = Math.max(from, least + 1)
      for (; at >= end; at--) {
        const pc = pcs[at - from] ?? 0
        const known = masks[pc] ?? -1
        const mask = known >= 0 ? known : this.#history.maskAt(pc)
        if ((mask & this.#live) !== 0 || this.#isWanted[pc] !== 0) return at
        if (((this.#kept[pc] ?? 0) & this.#live) !== 0) return at
        if (this.#openBytes > 0 && this.#keptStores[pc] !== 0) return at
        if (this.#call !== null && !this.#history.isRom(pc)) return at
      }
    }
    return least
  }

  /** Looks at a step; returns the one to look before next. */
  #visit(at: number): number {
    const pc = this.#history.pcAt(at)
    const writer = this.#writers.get(at)
    if (writer?.depth === 0 && this.#openBytes > 0) this.#openBytes -= 1
    const asked = this.#steps.get(at)
    if (this.#nextSteps.at(-1) === at) this.#nextSteps.pop()
    const looks = (this.#looks.get(pc) ?? 0) + 1
    this.#looks.set(pc, looks)
    const isCall = this.#call !== null && !this.#history.isRom(pc)
    const isKept = this.#keeps(pc)
    const isSure = writer !== undefined || asked !== undefined || isCall || isKept || looks === 1
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
    this.#take(step, flow, writer ?? null, asked ?? null)
    return at
  }

  /** An instruction met many times: its registers are followed, as its bytes were at the start. */
  #glance(at: number, pc: Addr): void {
    const flow = this.#history.flowAt(pc)
    const made = flow.writes & this.#live
    const found = this.#found.get(keyOf(pc, this.#history.bytesAt(pc)))
    if (found !== undefined && made !== 0) {
      found.times += 1
      found.firstStep = at
    }
    this.#goOn(flow, made)
    this.#fulfil(pc)
  }

  /** What the made parts were made of is live now instead of them. Returns it. */
  #goOn(flow: DataFlow, made: number): Sources {
    let parts = 0
    let reads = 0
    let isInput = false
    let depth = 1_000
    for (let rest = made; rest !== 0; rest &= rest - 1) {
      const part = 31 - Math.clz32(rest & -rest)
      const from = flow.from(part)
      parts |= from.parts
      reads |= from.reads
      isInput ||= from.isInput
      depth = Math.min(depth, this.#depths[part] ?? 0)
      this.#depths[part] = 1_000
    }
    this.#live &= ~made
    this.#need(parts, depth + 1)
    return { parts, reads, isInput }
  }

  /** Whether a branch may have kept something that is asked for from being made otherwise. */
  #keeps(pc: Addr): boolean {
    return ((this.#kept[pc] ?? 0) & this.#live) !== 0 || (this.#openBytes > 0 && this.#keptStores[pc] !== 0)
  }

  /** How near a branch is that was wished for, or that kept something from being made; null for neither. */
  #fulfilled(pc: Addr): number | null {
    const wished = this.#fulfil(pc)
    if (!this.#keeps(pc)) return wished
    const kept =
      this.#openBytes > 0 && this.#keptStores[pc] !== 0 ? 0 : this.#depthOf((this.#kept[pc] ?? 0) & this.#live)
    this.#kept[pc] = 0
    this.#keptStores[pc] = 0
    return Math.min(wished ?? 1_000, kept + 1)
  }

  /** Takes off the wishes that an instruction fulfils; returns the least depth among them, null for none. */
  #fulfil(pc: Addr): number | null {
    if (this.#isWanted[pc] === 0) return null
    let depth: number | null = null
    const open: Wanted[] = []
    for (const each of this.#wanted) {
      if (each.decidedBy.has(pc)) depth = Math.min(depth ?? each.depth, each.depth)
      else open.push(each)
    }
    this.#wanted = open
    this.#isWanted.fill(0)
    for (const { decidedBy } of open) for (const each of decidedBy) this.#isWanted[each] = 1
    return depth
  }

  #take(
    step: TraceStep,
    flow: DataFlow,
    writer: { readonly bytes: ReadonlySet<Addr>; readonly depth: number } | null,
    question: { readonly role: Found['role']; readonly depth: number } | null,
  ): void {
    const asked = question?.role ?? null
    const made = flow.writes & this.#live
    const depthOfMade = this.#depthOf(made)
    const live = this.#live
    const call = this.#callInto(step, flow)
    const wished = step.kind === 'instruction' ? this.#fulfilled(step.pc) : null
    if (made === 0 && writer === null && asked === null && wished === null && call === null) return
    const depth = Math.min(
      made === 0 ? 1_000 : depthOfMade,
      writer?.depth ?? 1_000,
      wished ?? 1_000,
      call?.depth ?? 1_000,
      question?.depth ?? 1_000,
    )
    const isFirmware = this.#history.isRom(step.pc)
    const sources = this.#sourcesOf(step, flow, made, writer?.bytes ?? null, { wished, asked })
    this.#need(sources.parts, depth + 1)
    const memoryRead = this.#followReads(step, flow, sources.reads, depth)
    if (sources.isInput) this.#takeInput(step, flow, depth)
    if (isFirmware) {
      this.#call ??= { live, parts: 0, bytes: new Set(), depth: depth + 1, after: afterOf(step) }
      this.#call.parts |= made & this.#call.live
      for (const address of writer?.bytes ?? []) this.#call.bytes.add(address)
      return
    }
    if (step.kind !== 'instruction') return
    const stored = asked === 'made' ? step.memoryWrites.map(({ address }) => address) : []
    const isMade =
      made !== 0 || writer !== null || asked === 'made' || (call !== null && (call.parts !== 0 || call.bytes.size > 0))
    this.#add(step, isMade ? 'made' : 'decided', depth, {
      wrote: made | (call?.parts ?? 0),
      read: sources.parts,
      memoryRead,
      memoryWritten: new Set([...(writer?.bytes ?? stored), ...(call?.bytes ?? [])]),
      after: call?.after ?? afterOf(step),
    })
    this.#want(this.#graph.decidersOf(step.pc), depth + 1)
  }

  #depthOf(parts: number): number {
    let depth = 1_000
    for (let rest = parts; rest !== 0; rest &= rest - 1) {
      depth = Math.min(depth, this.#depths[31 - Math.clz32(rest & -rest)] ?? depth)
    }
    return depth
  }

  /** The wish for the call that led into the firmware, where this step is it. */
  #callInto(step: TraceStep, flow: DataFlow): Call | null {
    if (this.#call === null || this.#history.isRom(step.pc) || step.kind !== 'instruction') return null
    const call = this.#call
    this.#call = null
    return callPattern.test(flow.text) || flow.text.startsWith('RET') ? call : null
  }

  #sourcesOf(
    step: TraceStep,
    flow: DataFlow,
    made: number,
    bytes: ReadonlySet<Addr> | null,
    { wished, asked }: { readonly wished: number | null; readonly asked: Found['role'] | null },
  ): Sources {
    const { parts, reads, isInput } = this.#goOn(flow, made)
    const all = { parts, reads, isInput }
    const join = (more: Sources): void => {
      all.parts |= more.parts
      all.reads |= more.reads
      all.isInput ||= more.isInput
    }
    if (bytes !== null || asked === 'made') {
      const before = beforeOf(step, this.#history)
      for (const write of flow.memoryWrites) {
        if (bytes !== null && !bytes.has(write.address(before))) continue
        join(write.valueFrom)
        join(write.addressFrom)
      }
    }
    if (asked === 'made') {
      for (const write of flow.portWrites) {
        join(write.valueFrom)
        join(write.addressFrom)
      }
    }
    if ((wished !== null || asked !== null) && flow.jump !== null) {
      if (flow.jump.when !== null) join(flow.jump.when)
      if (asked !== null) join(flow.jump.toFrom)
    }
    return all
  }

  /** A key is read from the column that was selected: what the keypad gave rests on the port write before. */
  #takeInput(step: TraceStep, flow: DataFlow, depth: number): void {
    this.#inputs.push(step)
    const { keypad, display } = this.#history.request.profile
    const before = beforeOf(step, this.#history)
    for (const { address, addressFrom } of flow.portReads) {
      this.#need(addressFrom.parts, depth + 1)
      if ((address(before) & 0xff) !== keypad.rowPort) continue
      const select = lastPortWrite(this.#history.recording, display.selectPort, step.t)
      if (select === null) continue
      const at = this.#history.stepAt(select.t)
      if (this.#steps.has(at)) continue
      this.#steps.set(at, { role: 'made', depth: depth + 1 })
      this.#push(at)
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
      this.#need(read.addressFrom.parts, depth + 1)
      this.#needByte(address, step.t, depth + 1)
    }
    return addresses
  }

  #add(
    step: TraceStep,
    role: Found['role'],
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
    const least = (this.#nextSteps.at(-1) ?? -1) + 1
    let step = at
    while (step > least && this.#history.pcAt(step - 1) === pc) step -= 1
    this.#looks.set(pc, 0)
    return step
  }
}

function keyOf(pc: Addr, bytes: readonly Byte[]): string {
  return `${pc} ${bytes.join(' ')}`
}

function afterOf(step: TraceStep): Found['after'] {
  return { registers: step.after, t: step.t + step.tStates }
}

/** What a step did; null for waiting in HALT. */
export function flowOfStep(step: TraceStep): DataFlow | null {
  if (step.kind === 'halted') return null
  if (step.kind === 'interrupt') return interruptFlow()
  return flowFrom((address) => step.bytes[(address - step.pc) & 0xffff] ?? 0, step.pc)
}

function beforeOf(step: TraceStep, history: History): Parameters<DataFlow['memoryReads'][number]['address']>[0] {
  return { registers: step.before, bytes: step.bytes, read: (address) => history.byteBefore(address, step.t) }
}

function isSameSet(a: ReadonlySet<Addr>, b: ReadonlySet<Addr>): boolean {
  return a.size === b.size && [...a].every((each) => b.has(each))
}
