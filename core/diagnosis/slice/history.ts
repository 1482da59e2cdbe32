import type { EventLog } from '../../board/index.ts'
import { dataFlow, type Addr, type Before, type Byte, type DataFlow, type TState } from '../../cpu/index.ts'
import { run, type Recording, type RunRequest, type TraceStep } from '../../run/index.ts'
import { everyPart } from './facts.ts'
import { WriteIndex } from './write-index.ts'

const chunkSteps = 32_768
/** Stretches of which the times are kept. */
const mostTimes = 8
/** Steps looked at closely come in clusters: so many are fetched at once. */
const closeSteps = 48

/** What a question about the past needs of a run: which instruction each step executed, and who wrote each byte. */
export class History {
  readonly recording: Recording
  readonly request: RunRequest
  readonly memoryAtStart: Uint8Array
  readonly #chunks: (Uint16Array | undefined)[] = []
  /** When the steps of some stretches began: those looked at last. */
  readonly #times = new Map<number, Float64Array>()
  readonly #flows = new Map<Addr, DataFlow>()
  readonly #masks = new Int32Array(0x10000).fill(-1)
  readonly #isRom = new Uint8Array(0x10000)
  #writes: WriteIndex | null = null
  #close: { readonly first: number; readonly steps: readonly TraceStep[] } = { first: 0, steps: [] }

  constructor(recording: Recording, request: RunRequest) {
    this.recording = recording
    this.request = request
    this.memoryAtStart = recording.at(0).memory
    for (const { kind, from, to } of request.profile.memory) if (kind === 'rom') this.#isRom.fill(1, from, to + 1)
  }

  /** Where each step of the stretch of `chunkSteps` that holds `step` began; `from` is its first step. */
  stretch(step: number): { readonly from: number; readonly pcs: Uint16Array } {
    const number = Math.floor(step / chunkSteps)
    const from = number * chunkSteps
    const known = this.#chunks[number]
    if (known !== undefined) return { from, pcs: known }
    const to = Math.min(from + chunkSteps, this.recording.result.steps)
    const pcs = new Uint16Array(Math.max(0, to - from))
    const times = new Float64Array(pcs.length)
    this.recording.walk(from, to, (at, t, pc) => {
      pcs[at - from] = pc
      times[at - from] = t
    })
    this.#chunks[number] = pcs
    this.#times.set(number, times)
    const [oldest] = this.#times.keys()
    if (this.#times.size > mostTimes && oldest !== undefined) this.#times.delete(oldest)
    return { from, pcs }
  }

  /** The step that was being executed at T-state `t`. */
  stepAt(t: TState): number {
    for (const [number, times] of this.#times) {
      const after = number * chunkSteps + times.length
      const isLast = after === this.recording.result.steps
      if (times.length === 0 || t < (times[0] ?? 0) || (!isLast && t >= (times.at(-1) ?? 0))) continue
      return number * chunkSteps + lastNotAfter(times, t)
    }
    return this.recording.stepAt(t)
  }

  pcAt(step: number): Addr {
    const { from, pcs } = this.stretch(step)
    return pcs[step - from] ?? 0
  }

  /** The last step before `before` at an address of a sort; -1 where there is none. */
  lastStepOf(isWanted: (pc: Addr) => boolean, before: number): number {
    const known = new Int8Array(0x10000).fill(-1)
    for (let at = before - 1; at >= 0;) {
      const { from, pcs } = this.stretch(at)
      for (; at >= from; at--) {
        const pc = pcs[at - from] ?? 0
        if (known[pc] === -1) known[pc] = Number(isWanted(pc))
        if (known[pc] === 1) return at
      }
    }
    return -1
  }

  /** Everything about one step. */
  stepIn(step: number): TraceStep | undefined {
    const { first, steps } = this.#close
    const known = steps[step - first]
    if (known !== undefined) return known
    const from = Math.max(0, step - closeSteps + 1)
    this.#close = { first: from, steps: this.recording.steps(from, step + 1) }
    return this.#close.steps[step - from]
  }

  isRom(address: Addr): boolean {
    return this.#isRom[address & 0xffff] === 1
  }

  /** The instruction at an address, as it stood there at the start. */
  flowAt(pc: Addr): DataFlow {
    const known = this.#flows.get(pc)
    if (known !== undefined) return known
    const flow = flowFrom((address) => this.memoryAtStart[address & 0xffff] ?? 0, pc)
    this.#flows.set(pc, flow)
    return flow
  }

  /** What that instruction is worked out from where its bytes alone tell; the registers are those of the end. */
  before(pc: Addr): Before {
    const { memoryAtStart, recording } = this
    return {
      registers: { ...recording.result.registers, pc },
      bytes: this.bytesAt(pc),
      read: (address) => memoryAtStart[address & 0xffff] ?? 0,
    }
  }

  /** The bytes of that instruction. */
  bytesAt(pc: Addr): readonly Byte[] {
    return Array.from({ length: this.flowAt(pc).length }, (_, i) => this.memoryAtStart[(pc + i) & 0xffff] ?? 0)
  }

  /** The parts of the registers that the instruction at an address may set; all of them where its bytes changed. */
  masks(): Int32Array {
    return this.#masks
  }

  maskAt(pc: Addr): number {
    const known = this.#masks[pc] ?? -1
    if (known >= 0) return known
    const isChanged = [0, 1, 2, 3].some((offset) => this.writes.isWritten((pc + offset) & 0xffff))
    const mask = isChanged ? everyPart : this.flowAt(pc).writes
    this.#masks[pc] = mask
    return mask
  }

  get writes(): WriteIndex {
    this.#writes ??= new WriteIndex(this.#watched())
    return this.#writes
  }

  /** Every write of the run as an event: the run once more, where they were not watched the first time. */
  #watched(): EventLog {
    const { recording, request } = this
    if (request.isWatchingWrites === true) return recording.events
    const budget = Math.max(1, recording.result.tStates)
    return run({ ...request, isWatchingWrites: true, budget, eventLimit: Number.MAX_SAFE_INTEGER }).events
  }

  /** What stood at an address when T-state `t` began. */
  byteBefore(address: Addr, t: TState): Byte {
    const index = this.isRom(address) ? -1 : this.writes.lastBefore(address, t)
    return index < 0 ? (this.memoryAtStart[address] ?? 0) : this.writes.valueAt(index)
  }
}

/** The place of the last of rising numbers that is not above `t`. */
function lastNotAfter(times: Float64Array, t: number): number {
  let low = 0
  let high = times.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((times[middle] ?? 0) <= t) low = middle + 1
    else high = middle
  }
  return Math.max(0, low - 1)
}

/** The flow of the instruction at an address, prefixes that another overrides passed over. */
export function flowFrom(read: (address: Addr) => Byte, pc: Addr): DataFlow {
  const isPrefix = (byte: Byte): boolean => byte === 0xdd || byte === 0xfd
  let at = pc
  for (let skipped = 0; skipped < 16; skipped++) {
    const [first, second] = [read(at), read(at + 1)]
    if (!isPrefix(first) || !(isPrefix(second) || second === 0xed)) break
    at = (at + 1) & 0xffff
  }
  return dataFlow((offset) => read((at + offset) & 0xffff))
}
